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
	c := &cobra.Command{
		Use:   "update FILE WORKBOOK",
		Short: "Takes what was typed into a workbook back into its lot file",
		Long: `Update reads a workbook that split or price wrote (-o costs.xlsx) and that was changed
in a spreadsheet since. What was typed into the cells on a coloured ground goes into the lot
file, or into the list beside it: counts, weights, values, prices, what the bank took, rates,
fees. Notes and layout of the file stay as they are, and what it was is kept as
haul.yaml.before. The desk takes a workbook too, at the foot of the page of its haul.

All changes are listed: what, as it was, as it is. All are taken or none: where a cell cannot
be read, or the file was changed otherwise meanwhile, each such place is listed and nothing is
written. Rows may be sorted; what was taken out of a sheet stays in the file, and what was
added there, or typed over a formula, is listed.

` + exitHelp,
		Example: `  lotcost split haul.yaml -o costs.xlsx
  lotcost update haul.yaml costs.xlsx --dry-run
  lotcost update haul.yaml costs.xlsx`,
		Args: o.checkArgs,
		ValidArgsFunction: func(_ *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
			return [][]string{{"yaml", "yml"}, {"xlsx"}, nil}[min(len(args), 2)], cobra.ShellCompDirectiveFilterFileExt
		},
		RunE: func(_ *cobra.Command, args []string) error { return o.run(s, args[0], args[1]) },
	}
	o.ofFiles.addFlags(c)
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
