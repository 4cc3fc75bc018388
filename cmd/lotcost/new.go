package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"lotcost/landed/lotfile"
	"lotcost/landed/source"

	"github.com/spf13/cobra"
)

func newNew(s streams) *cobra.Command {
	o := lotfile.Figures{}
	c := command("new", nil, takes(1, 1, "new needs the name of one file to write", "lotcost new haul.yaml"), lotFiles, func(_ *cobra.Command, args []string) error {
		if steps := o["for"]; len(steps) > 0 && source.Meant(steps[0], []string{forEditors}) != "" {
			return writeSchema(s, args[0], o)
		}
		if *s.decimal != "" {
			o["decimal"] = []string{*s.decimal}
		}
		if len(o) == 0 {
			return writeNew(s, args[0], lotfile.Starter(), "change the figures in %s, then: lotcost split %s")
		}
		return runNew(s, args[0], o)
	})
	for _, f := range [...]struct{ name, usage string }{
		{"from", "the `COUNTRY` it comes from, such as JP"},
		{"to", "the `PLACE` it goes to, such as DE or CA-ON; else as the defaults have it"},
		{"home", "the currency `CODE` of your books; else that of the defaults, or of the place it goes to"},
		{"in", "the currency `CODE` of the sale; else that of the country it comes from"},
		{"date", "the `DAY` of purchase, such as 2026-10-03; else today"},
		{"with", "a `FILE` of defaults of your own, beside the new file or up to three folders above it"},
		{"for", "the `STEP` it is for: " + strings.Join(lotfile.Steps(), ", ") + " (the file of --with), " + forEditors + "; else " + lotfile.Steps()[0]},
	} {
		addFigure(c, o, f.name, f.usage)
	}
	words(c, "for", append(lotfile.Steps(), forEditors)...)
	completed(c, "home", lazily(currencyCodes))
	completed(c, "in", lazily(currencyCodes))
	takesFile(c, "with", "yaml", "yml")
	return c
}

// forEditors is the step for which the schema is written.
const forEditors = "editors"

// writeSchema writes the schema, which is the same for all.
func writeSchema(s streams, path string, of lotfile.Figures) error {
	if step := of["for"][0]; step != forEditors || len(of) > 1 {
		return &usageError{fmt.Sprintf("--for %s cannot be read", step), "write --for editors, alone"}
	}
	return writeNew(s, path, string(lotfile.Schema()), "a lot file names %s in a line of its own: # yaml-language-server: $schema=%s")
}

// named writes above a lot file the schema that lies beside it or some folders above.
func named(folder, text string) string {
	path := lotfile.SchemaName
	for range 4 {
		if _, err := os.Stat(filepath.Join(folder, filepath.FromSlash(path))); err == nil {
			return "# yaml-language-server: $schema=" + path + "\n" + text
		}
		path = "../" + path
	}
	return text
}

func runNew(s streams, path string, of lotfile.Figures) error {
	folder := lotfile.Folder(path)
	if with := of["with"]; len(with) > 0 {
		of["with"] = []string{seenFrom(folder, with[0])}
	}
	text, err := lotfile.New(of, folder, s.files())
	if err != nil {
		return err
	}
	text = named(folder, text)
	step := append(of["for"], lotfile.Steps()[0])[0]
	if step == "defaults" {
		return writeNew(s, path, text, "fill in what stands empty in %s, and name it in a lot file: lotcost new haul.yaml --from JP --with %s")
	}
	return writeNew(s, path, text, "fill in what stands empty in %s, then: lotcost "+step+" %s")
}

// seenFrom turns a path as it was typed into one from a folder. A file that is
// not there may have been typed as it is to stand in the lot file.
func seenFrom(folder, path string) string {
	if _, err := os.Stat(path); err != nil || path == "" {
		return filepath.ToSlash(path)
	}
	from, err := filepath.Abs(folder)
	to, err2 := filepath.Abs(path)
	if err != nil || err2 != nil {
		return path
	}
	seen, err := filepath.Rel(from, to)
	if err != nil {
		return path
	}
	return filepath.ToSlash(seen)
}

func writeNew(s streams, path, text, hint string) error {
	if path == "-" {
		_, err := fmt.Fprint(s.out, text)
		return err
	}
	if err := create(path, []byte(text), "new"); err != nil {
		return err
	}
	fmt.Fprintf(s.err, "hint: "+hint+"\n", path, path)
	return nil
}
