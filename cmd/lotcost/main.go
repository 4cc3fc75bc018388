// Command lotcost tells what each piece of an overseas purchase really cost.
package main

import (
	"context"
	"io"
	"os"

	"lotcost/cmd/lotcost/internal/show"
)

func main() { os.Exit(run()) }

func run() int {
	return lotcost(context.Background(), streams{
		in: os.Stdin, out: os.Stdout, err: os.Stderr, env: os.Getenv,
		terminal: show.DetectTerminal(os.Stdout, os.Getenv),
		watched:  show.DetectTerminal(os.Stderr, os.Getenv).Width > 0,
	}, os.Args[1:])
}

// streams is the world as a command sees it.
type streams struct {
	in       io.Reader
	out, err io.Writer
	env      func(string) string
	terminal show.Terminal // what out is
	watched  bool          // whether err is a terminal
}

// lotcost runs one command line and returns the exit code.
func lotcost(ctx context.Context, s streams, args []string) int {
	root := newRoot(s)
	root.SetArgs(args)
	root.SetIn(s.in)
	root.SetOut(s.out)
	root.SetErr(s.err)
	return s.tell(root.ExecuteContext(ctx))
}
