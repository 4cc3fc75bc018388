package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"slices"
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
	if testing.Short() {
		t.Skip("the list of all packages takes long")
	}
	command := exec.Command("go", "list", "-test", "-deps", "-f", `{{with .Module}}{{if not .Main}}{{.Path}} {{.Dir}} {{end}}{{end}}{{.ImportPath}}
{{if eq .ImportPath "lotcost/cmd/lotcost"}}built{{range .Deps}} {{.}}{{end}}{{end}}`, "lotcost/...")
	out, err := command.Output()
	if err != nil {
		t.Fatal(err)
	}
	built, packages, dirs := map[string]bool{}, map[string][]string{}, map[string]string{}
	for line := range strings.Lines(string(out)) {
		words := strings.Fields(line)
		switch {
		case len(words) > 0 && words[0] == "built":
			for _, path := range words[1:] {
				built[path] = true
			}
		case len(words) == 3:
			dirs[words[0]], packages[words[0]] = words[1], append(packages[words[0]], words[2])
		}
	}
	within := 0
	for path, dir := range dirs {
		licence, in := licenceIn(t, dir), slices.ContainsFunc(packages[path], func(p string) bool { return built[p] })
		switch {
		case licence == "":
			t.Errorf("%s: no licence that we know", path)
		case in && !permissive[licence]:
			t.Errorf("%s is built in, but its licence is %s", path, licence)
		}
		if in {
			within++
		}
		t.Logf("%s: %s, built in %t", path, licence, in)
	}
	if within < 5 || len(dirs) <= within {
		t.Errorf("%d modules seen, %d of them built in", len(dirs), within)
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
