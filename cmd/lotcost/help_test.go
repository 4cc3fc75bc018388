package main

import (
	"bytes"
	"context"
	"strings"
	"testing"

	"lotcost/cmd/lotcost/internal/sheet"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// TestHelp: the help of every command is as wide as the terminal at most, tells
// each of its flags, and each command is named on the first page.
func TestHelp(t *testing.T) {
	for _, width := range []int{0, 60, 80, 200} {
		page := func(args ...string) string {
			var out bytes.Buffer
			s := streams{in: strings.NewReader(""), out: &out, err: &out, env: func(string) string { return "" }, terminal: sheet.Terminal{Width: width}}
			if code := lotcost(context.Background(), s, args); code != exitFine {
				t.Fatalf("%v: exit %d: %s", args, code, out.String())
			}
			most := width
			if width == 0 || width > helpWidth {
				most = helpWidth
			}
			for line := range strings.Lines(out.String()) {
				if n := len([]rune(strings.TrimSuffix(line, "\n"))); n > most {
					t.Errorf("%v: %d characters on %d: %s", args, n, most, line)
				}
			}
			return out.String()
		}
		first := page("help")
		for _, topic := range topics {
			page("help", topic.name)
		}
		var look func(c *cobra.Command)
		look = func(c *cobra.Command) {
			text := page(append([]string{"help"}, strings.Fields(c.CommandPath())[1:]...)...)
			c.LocalFlags()
			c.Flags().VisitAll(func(f *pflag.Flag) {
				if f.Name != "help" && !f.Hidden && !strings.Contains(text, "--"+f.Name+" ") {
					t.Errorf("%s: no --%s in\n%s", c.CommandPath(), f.Name, text)
				}
				if value, _ := pflag.UnquoteUsage(f); value == "string" || value == "strings" {
					t.Errorf("%s: what --%s takes has no name of its own", c.CommandPath(), f.Name)
				}
			})
			for _, sub := range c.Commands() {
				if !sub.IsAvailableCommand() || sub.Name() == "completion" { // whose text is not ours
					continue
				}
				if !c.HasParent() && !strings.Contains(first, " "+sub.Name()+" ") {
					t.Errorf("%s is not on the first page", sub.Name())
				}
				look(sub)
			}
		}
		decimal := new(string)
		look(newRoot(streams{decimal: decimal}, allCommands))
	}
}
