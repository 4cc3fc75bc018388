// Command lotcost tells what each piece of an overseas purchase really cost.
package main

import (
	"context"
	"io"
	"os"
	"runtime/debug"

	"lotcost/cmd/lotcost/internal/sheet"
	_ "lotcost/cmd/lotcost/internal/stack"
	"lotcost/cmd/lotcost/internal/whole"
	"lotcost/landed/lotfile"
	"lotcost/landed/source"
)

func main() { os.Exit(run()) }

// memory is how much may be in use before tidying up comes before speed, in
// bytes; GOMEMLIMIT says otherwise. It is no limit of what a file may need.
const memory = 320 << 20

// roomFor lets a large file have what is made of it, many times its size: below that
// all time would go into tidying up.
func roomFor(size int64) {
	const large, times = 16 << 20, 10
	if size > large {
		moreMemory(memory + times*size)
	}
}

// moreMemory raises the limit at which tidying up comes before speed, unless it is higher or
// GOMEMLIMIT says otherwise.
func moreMemory(limit int64) {
	if os.Getenv("GOMEMLIMIT") == "" && limit > debug.SetMemoryLimit(-1) {
		debug.SetMemoryLimit(limit)
	}
}

func run() int {
	if os.Getenv("GOMEMLIMIT") == "" {
		debug.SetMemoryLimit(memory)
	}
	said := sheet.DetectTerminal(os.Stderr, os.Getenv)
	return lotcost(context.Background(), streams{
		in: os.Stdin, out: os.Stdout, err: sheet.Messages(os.Stderr, said), env: os.Getenv,
		terminal: sheet.DetectTerminal(os.Stdout, os.Getenv),
		watched:  said.Width > 0,
	}, os.Args[1:])
}

// streams is the world as a command sees it.
type streams struct {
	in       io.Reader
	out, err io.Writer
	env      func(string) string
	terminal sheet.Terminal // what out is
	opened   *opened        // what was read; set by lotcost
	strange  *source.Faults // warnings not reported yet; set by lotcost
	watched  bool           // whether err is a terminal
	decimal  *string        // the mark that the command line asks for; set by lotcost
	file     **lotfile.File // that was read last; set by lotcost
}

// lotcost runs one command line and returns the exit code.
func lotcost(ctx context.Context, s streams, args []string) int {
	s.opened, s.strange, s.decimal, s.file = &opened{}, &source.Faults{}, new(string), new(*lotfile.File)
	if in, ok := s.in.(*os.File); ok { // whether it is read or not
		if info, err := in.Stat(); err == nil {
			s.opened.add(in.Name(), info)
		}
	}
	if text, quoted := singleQuoted(args); quoted {
		return s.tell(&usageError{"the shell of Windows takes no single quotes", `write "` + text + `"`})
	}
	if text, is := parted(args); is {
		return s.tell(&usageError{"the shell parts what has a space in it", "write " + text})
	}
	help := &help{to: s.out}
	root := newRoot(s, wanted(args))
	root.SetArgs(args)
	root.SetIn(s.in)
	root.SetOut(help)
	root.SetErr(s.err)
	err := root.ExecuteContext(ctx)
	if err == nil && help.err != nil {
		err = &whole.Error{Path: "-", Err: help.err}
	}
	return s.tell(err)
}

// help is where help goes; it keeps the error that its writer passes over.
type help struct {
	to  io.Writer
	err error
}

// Write implements io.Writer.
func (h *help) Write(p []byte) (int, error) {
	n, err := h.to.Write(p)
	if h.err == nil {
		h.err = err
	}
	return n, err
}
