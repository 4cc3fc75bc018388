package main

import (
	"bytes"
	"context"
	"errors"
	"io"
	"path/filepath"
	"strings"

	"lotcost/cmd/lotcost/internal/fetch"
	"lotcost/cmd/lotcost/internal/show"
	"lotcost/landed/customs/tariff"
	"lotcost/landed/lotfile"
	"lotcost/landed/source"

	"github.com/spf13/cobra"
)

type tariffOptions struct {
	output
	find string
}

// mostFound is how many lines a search shows.
const mostFound = 100

func newRulesTariff(s streams) *cobra.Command {
	o := &tariffOptions{}
	c := command("rules tariff", o, o.check, ending("json"), func(_ *cobra.Command, args []string) error { return o.run(s, args) })
	c.Flags().StringVar(&o.find, "find", "", "list the lines that hold these `WORDS`")
	return c
}

func (o *tariffOptions) check(_ *cobra.Command, args []string) error {
	switch words := strings.TrimSpace(o.find) != ""; {
	case words && len(args) > 1:
		return &usageError{"rules tariff --find takes one file", "lotcost rules tariff hts.json --find plane"}
	case words:
	case len(args) == 0 || len(args) > 2, len(args) == 1 && strings.Trim(args[0], "0123456789. ") != "":
		return &usageError{"rules tariff needs a file and a code", "lotcost rules tariff hts.json 8205.59.55, or --find and a word"}
	}
	return nil
}

func (o *tariffOptions) run(s streams, args []string) error {
	code, path := "", ""
	if o.find == "" {
		code, args = args[len(args)-1], args[:len(args)-1]
	}
	if len(args) > 0 {
		path = args[0]
	} else {
		last, err := s.cache().last(tariffs)
		if err != nil {
			return err
		}
		if path = last.path; path == "" {
			return &usageError{"no tariff was fetched yet", "name a file, or fetch one with: lotcost rules fetch us --url ADDRESS"}
		}
	}
	f, err := lotfile.Open(path, s.files())
	if err != nil {
		return err
	}
	defer f.Close()
	if o.find != "" {
		lines, more, err := tariff.Find(f, o.find, mostFound)
		if err != nil {
			return tariffFault(path, err)
		}
		if err := o.write(s, show.TariffFound(o.find, lines, more)); err != nil || len(lines) > 0 {
			return err
		}
		return exitCode(exitNo)
	}
	return o.line(s, path, code, f)
}

// line tells one line; what is refused is reported too, and is no answer.
func (o *tariffOptions) line(s streams, path, code string, f io.Reader) error {
	lines, unknown, err := tariff.Read(f, code)
	if err == nil {
		err = unknown[0]
	}
	if err != nil {
		return tariffFault(path, err)
	}
	duty, refused := lines[0].Duty(tariff.Goods{})
	if err := o.write(s, show.TariffLine(filepath.Base(path), lines[0], duty, refused)); err != nil {
		return err
	}
	if refused != nil {
		return exitCode(exitNo)
	}
	return nil
}

// tariffFault makes a fault of what is wrong with a tariff, or with the code sought in it.
func tariffFault(path string, err error) error {
	var reported *source.Fault
	if !errors.As(err, &reported) {
		return err
	}
	return source.Faults{{At: source.Origin{File: path}, What: reported.What, Remedy: reported.Remedy, Err: err}}
}

func newRulesFetch(s streams) *cobra.Command {
	o := &fetchOptions{}
	oneOf := func(_ *cobra.Command, args []string) error {
		if len(args) != 1 || !strings.EqualFold(args[0], "us") {
			return &usageError{"rules fetch takes a territory whose tariff is one file: us", "lotcost rules fetch us --url ADDRESS; save other tariffs by hand"}
		}
		return nil
	}
	c := command("rules fetch", nil, oneOf, nil, runs(func(ctx context.Context, _ []string) error { return o.tariff(ctx, s) }))
	c.ValidArgs = []string{"us"}
	o.addFlags(c, "revision", "tariff: in a lot file", tariff.MaxBytes)
	return c
}

// tariff fetches one.
func (o *fetchOptions) tariff(ctx context.Context, s streams) error {
	lines := 0
	kept, err := o.bring(s.cache(), tariffs, func() (*fetch.File, error) {
		if o.URL == "" {
			return nil, &usageError{"--url is missing", "give the address of the revision's JSON file, which www.usitc.gov shows"}
		}
		return o.File(ctx, tariff.MaxBytes, func(f *fetch.File) (err error) {
			lines, err = tariff.Count(bytes.NewReader(f.Text))
			return err
		})
	})
	if err != nil {
		return err
	}
	return (&output{}).write(s, show.TariffSummary(kept.path, kept.day, lines))
}

func isTariff(path string) bool {
	_, err := ofPlain(path, tariff.Count)
	return err == nil
}
