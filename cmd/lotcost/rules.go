package main

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/cmd/lotcost/internal/show"
	"lotcost/landed/customs"
	"lotcost/landed/lotfile"
	"lotcost/landed/source"

	"github.com/spf13/cobra"
)

type rulesOptions struct {
	output
	rules   string
	on, and string
}

func newRules(s streams) *cobra.Command {
	o := &rulesOptions{}
	c := command("rules", o, takes(0, 1, "rules takes one territory", "lotcost rules CA"), lazily(territories), func(_ *cobra.Command, args []string) error { return o.run(s, args) })
	c.Flags().StringVar(&o.on, "on", "", "the `DAY` whose rules are shown, such as 2026-10-03; default: today")
	c.Flags().StringVar(&o.and, "and", "", "another `DAY`: show what differs between the two")
	addRulesFlag(c, &o.rules)
	c.AddCommand(newRulesTariff(s), newRulesFetch(s))
	return c
}

// territories lists those whose rules are shipped.
func territories() []string {
	return slices.Compact(sheet.Each(customs.NewBook().Entries(), func(r **customs.Rules) string { return (*r).Territory }))
}

func (o *rulesOptions) run(s streams, args []string) error {
	files, err := (&reading{rules: o.rules}).options(s)
	if err != nil {
		return err
	}
	book := customs.NewBook(files.Rules)
	if len(args) == 0 {
		return o.write(s, show.Territories(book.Entries()))
	}
	if strings.HasSuffix(args[0], ".yaml") {
		return &usageError{args[0] + " is a file, not a territory", "name the one whose rules it holds, as in lotcost rules MX --rules " + args[0]}
	}
	place := strings.ToUpper(args[0])
	first, err := o.entry(book, place, o.on)
	if err != nil {
		return err
	}
	if o.and == "" {
		return o.write(s, show.Rules(first))
	}
	second, err := o.entry(book, place, o.and)
	if err != nil {
		return err
	}
	return o.write(s, show.Differences(first, second))
}

// entry finds the rules of a territory on a day, or of today.
func (o *rulesOptions) entry(book *customs.Book, territory, day string) (*customs.Rules, error) {
	on, err := dayOrToday(day, "")
	if err != nil {
		return nil, err
	}
	r, err := book.For(territory, on)
	var none *customs.NoRulesError
	if meant := lotfile.MeantPlace(territory); errors.As(err, &none) && none.Territory == "" && meant != "" && meant != territory {
		return nil, &usageError{fmt.Sprintf("%q is no code of a territory", territory), "did you mean " + meant + "?"}
	}
	if none != nil {
		return nil, inputFault(source.Origin{}, fmt.Errorf("%w, and name it with --rules", err))
	}
	if err != nil {
		return nil, inputFault(source.Origin{}, err)
	}
	return r.In(territory), nil
}
