package main

import (
	"lotcost/cmd/lotcost/internal/show"
	"lotcost/landed"
	"lotcost/landed/source"

	"github.com/spf13/cobra"
)

type dutyOptions struct {
	output
	reading
}

func newDuty(s streams) *cobra.Command {
	o := &dutyOptions{}
	c := &cobra.Command{
		Use:   "duty FILE",
		Short: "What the border adds: the assessment, step by step",
		Long: `Duty assesses the parcels of a haul by the rules of the country they enter: each
step with its figure, its rule and where the rule was published; what was
relieved, and by how much it cleared or missed the threshold.

It is an estimate. The customs authority decides; local law and a licensed
broker have the last word. Rates of duty are never in lotcost: find the heading
of your goods in the territory's tariff and write it under customs: classes.

` + exitHelp,
		Args:              oneFile,
		ValidArgsFunction: lotFiles,
		RunE:              func(_ *cobra.Command, args []string) error { return o.run(s, args[0]) },
	}
	o.output.addFlags(c)
	o.reading.addFlags(c)
	return c
}

func (o *dutyOptions) run(s streams, path string) error {
	h, err := o.haul(s, path)
	if err != nil {
		return err
	}
	st, err := landed.Split(h)
	if err != nil {
		return err
	}
	if st.Border == nil {
		return source.Faults{{At: source.Origin{File: h.At.File}, Field: "customs", What: "the section is missing",
			Remedy: "add it, as in customs: {use: personal, by: post, classes: {…}}; customs: {} takes all defaults"}}
	}
	return o.write(s, show.Duty(h, st))
}
