package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// licences are those under which what we depend on may be used beside ours, each by
// words that no other one has.
var licences = [][2]string{
	{"Apache-2.0", "Apache License"},
	{"BSD-3-Clause", "Neither the name of"},
	{"MIT", "Permission is hereby granted, free of charge"},
	{"MPL-2.0", "Mozilla Public License"}, // of a test library only
}

// permissive says under which licences the program itself may be built of.
var permissive = map[string]bool{"Apache-2.0": true, "BSD-3-Clause": true, "MIT": true}

// TestLicences names the licence of every module that the command is built of or tested with, as
// the module's own file has it.
func TestLicences(t *testing.T) {
	for _, in := range []struct {
		flags []string
		built bool
	}{{[]string{"./cmd/lotcost"}, true}, {[]string{"-test", "./..."}, false}} {
		args := append([]string{"list", "-deps", "-f", `{{with .Module}}{{if not .Main}}{{.Path}} {{.Dir}}{{end}}{{end}}`}, in.flags...)
		command := exec.Command("go", args...)
		command.Dir = filepath.Join("..", "..")
		out, err := command.Output()
		if err != nil {
			t.Fatal(err)
		}
		seen := map[string]bool{}
		for line := range strings.Lines(string(out)) {
			path, dir, found := strings.Cut(strings.TrimSpace(line), " ")
			if !found || seen[path] {
				continue
			}
			seen[path] = true
			licence := licenceIn(t, dir)
			switch {
			case licence == "":
				t.Errorf("%s: no licence that we know", path)
			case in.built && !permissive[licence]:
				t.Errorf("%s is built in, but its licence is %s", path, licence)
			}
			t.Logf("%s: %s", path, licence)
		}
		if len(seen) < 5 {
			t.Errorf("%d modules seen", len(seen))
		}
	}
}

func licenceIn(t *testing.T, dir string) string {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(dir, "LICEN[CS]E*"))
	if err != nil {
		t.Fatal(err)
	}
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		for _, l := range licences {
			if strings.Contains(string(text), l[1]) {
				return l[0]
			}
		}
	}
	return ""
}
