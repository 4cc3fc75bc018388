package main

import (
	"errors"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/cmd/lotcost/internal/show"
	"lotcost/landed"
	"lotcost/landed/book"
	"lotcost/landed/lotfile"
	"lotcost/landed/source"

	"github.com/spf13/cobra"
)

type checkOptions struct {
	ofFiles
}

func newCheck(s streams) *cobra.Command {
	o := &checkOptions{}
	return command("check", o, oneFile, lotFiles, func(_ *cobra.Command, args []string) error { return o.run(s, args[0]) })
}

func (o *checkOptions) run(s streams, path string) error {
	f, err := o.lotFile(s, path)
	if err != nil {
		return o.failed(s, err, lotfile.Unreadable(err))
	}
	if len(f.Lots) == 0 {
		return o.write(s, show.Check(path, nil, nil, f.Defaults))
	}
	gaps := f.Gaps() // before the account takes its room
	st, err := landed.Sums(f.WithoutOpen())
	if err != nil {
		return o.failed(s, err, false)
	}
	var faults source.Faults
	if _, err := book.Enter(f.InBook(path), book.Options{}); errors.As(err, &faults) && !f.Date.IsZero() {
		for _, fault := range faults { // split is right without them, price and the book are not
			fault.Warning = true
		}
		*s.strange = append(*s.strange, faults...)
	}
	return o.write(s, show.Check(path, st, gaps, f.Defaults))
}

// failed tells the faults of a file: the answer to a check is then no, unless
// there was no file to check. In another format than text they are the result.
func (o *checkOptions) failed(s streams, err error, unreadable bool) error {
	var faults source.Faults
	if unreadable || !errors.As(err, &faults) {
		return err
	}
	faults = s.explained(faults)
	if format, err := o.chosen(); err == nil && format == sheet.FormatTable {
		s.tellFaults(faults)
		return exitCode(exitNo)
	}
	s.tellStrange(faults)
	if err := o.write(s, show.Faults(faults)); err != nil {
		return err
	}
	return exitCode(exitNo)
}
