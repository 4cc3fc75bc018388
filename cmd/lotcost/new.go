package main

import (
	"fmt"

	"lotcost/landed/lotfile"

	"github.com/spf13/cobra"
)

func newNew(s streams) *cobra.Command {
	return &cobra.Command{
		Use:   "new FILE",
		Short: "Write a commented lot file to start from",
		Long: `New writes a lot file with notes on every key, to be changed to your figures. It
never writes over a file that is there already. - writes to standard output.

` + exitHelp,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 1 {
				return &usageError{"new needs the name of one file to write", "lotcost new haul.yaml"}
			}
			return nil
		},
		ValidArgsFunction: lotFiles,
		RunE:              func(_ *cobra.Command, args []string) error { return runNew(s, args[0]) },
	}
}

func runNew(s streams, path string) error {
	if path == "-" {
		_, err := fmt.Fprint(s.out, lotfile.Starter())
		return err
	}
	if err := create(path, []byte(lotfile.Starter()), "new"); err != nil {
		return err
	}
	fmt.Fprintf(s.err, "hint: change the figures in %s, then: lotcost split %s\n", path, path)
	return nil
}
