package main

import (
	"fmt"
	"strings"

	"lotcost/cmd/lotcost/internal/show"
	"lotcost/cmd/lotcost/internal/taken"
	"lotcost/landed/lotfile"

	"github.com/spf13/cobra"
)

type updateOptions struct {
	ofFiles
	dry bool
}

func newUpdate(s streams) *cobra.Command {
	o := &updateOptions{}
	files := func(_ *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
		return [][]string{{"yaml", "yml"}, {"xlsx"}, nil}[min(len(args), 2)], cobra.ShellCompDirectiveFilterFileExt
	}
	c := command("update", o, o.checkArgs, files, func(_ *cobra.Command, args []string) error { return o.run(s, args[0], args[1]) })
	c.Flags().BoolVar(&o.dry, "dry-run", false, "list the changes and write nothing")
	return c
}

// checkArgs wants a lot file, which is written, and a workbook.
func (*updateOptions) checkArgs(_ *cobra.Command, args []string) error {
	const call = "lotcost update haul.yaml costs.xlsx"
	switch {
	case len(args) < 2:
		return &usageError{"update needs a lot file and a workbook", call}
	case len(args) > 2:
		return &usageError{fmt.Sprintf("update takes one lot file and one workbook, not %d names", len(args)), call}
	case args[0] == lotfile.Stdin || args[1] == lotfile.Stdin:
		return &usageError{"update writes the lot file, and reads no standard input", call}
	case strings.HasSuffix(strings.ToLower(args[0]), ".xlsx"):
		return &usageError{args[0] + " is no lot file", "name the lot file first: " + call}
	}
	return nil
}

func (o *updateOptions) run(s streams, path, workbook string) error {
	options, err := o.options(s)
	if err != nil {
		return err
	}
	text, err := lotfile.Text(path, options)
	if err != nil {
		return err
	}
	data, err := lotfile.Table(workbook, options)
	if err != nil {
		return err
	}
	r, err := taken.Read(taken.File{Path: path, Text: text, Options: options}, workbook, data)
	if err != nil {
		return err
	}
	if err := o.notOver(s); err != nil {
		return err // before anything is written
	}
	t := &show.Taken{Result: r, File: path}
	if !o.dry && len(r.Files) > 0 {
		if t.Kept, err = r.Write(); err != nil {
			return err
		}
		t.Written = true
	}
	return o.write(s, show.Changes(t))
}
