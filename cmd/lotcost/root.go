package main

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed/money"
	"lotcost/landed/source"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// commands are all but help, and what makes each.
var commands = []struct {
	name string
	made func(streams) *cobra.Command
}{
	{"split", newSplit}, {"price", newPrice}, {"check", newCheck}, {"new", newNew}, {"update", newUpdate}, {"duty", newDuty}, {"together", newTogether},
	{"bid", newBid}, {"book", newBook}, {"batch", newBatch}, {"desk", newDesk}, {"rules", newRules}, {"rates", newRates},
}

func allCommands(string) bool { return true }

// wanted reports of a command whether a command line speaks of it: only what the shell completes
// speaks of all. To make a command with its flags takes longer than many a command does.
func wanted(args []string) func(name string) bool {
	if len(args) > 0 && strings.HasPrefix(args[0], cobra.ShellCompRequestCmd) {
		return allCommands
	}
	return func(name string) bool { return slices.Contains(args, name) }
}

func nameAlone(name string) *cobra.Command {
	return &cobra.Command{Use: name, Run: func(*cobra.Command, []string) {}}
}

// newRoot is the command of all commands. Those that are not wanted have a name alone.
func newRoot(s streams, wanted func(name string) bool) *cobra.Command {
	root := command("lotcost", nil, noSuchCommand, nil, func(c *cobra.Command, _ []string) error { return c.Help() })
	root.SilenceErrors, root.SilenceUsage = true, true
	root.PersistentFlags().Var(decimalMark(s.decimal), "decimal", "comma or point, the `MARK` before decimals in what is typed on the command line, in lists that do not show theirs, and in the result (CSV: with semicolons, for a spreadsheet; JSON: always points); default: as the file declares")
	words(root, "decimal", decimalMarks...)
	root.SetHelpFunc(func(c *cobra.Command, _ []string) { _ = writeHelp(s, c, c.OutOrStdout()) }) // [help] keeps the error
	root.SetFlagErrorFunc(flagError)
	for _, c := range commands {
		if wanted(c.name) {
			root.AddCommand(c.made(s))
		} else {
			root.AddCommand(nameAlone(c.name))
		}
	}
	if root.CompletionOptions.DisableDefaultCmd = !wanted("completion"); root.CompletionOptions.DisableDefaultCmd {
		root.AddCommand(nameAlone("completion"))
	}
	root.SetHelpCommand(newHelp(s, root))
	return root
}

// flagValue is the value of a flag: how it is usually, and what is done with what was typed.
type flagValue struct {
	usual string
	set   func(text string) error
}

func (f flagValue) Set(text string) error { return f.set(text) }

func (f flagValue) String() string { return f.usual }

func (flagValue) Type() string { return "string" }

var decimalMarks = []string{"comma", "point"}

// decimalMark is the value of a flag that says how decimals are written.
func decimalMark(mark *string) flagValue {
	return flagValue{set: func(word string) error {
		switch word {
		case ",":
			word = decimalMarks[0]
		case ".":
			word = decimalMarks[1]
		}
		if !slices.Contains(decimalMarks, word) {
			return &usageError{fmt.Sprintf("%q is neither comma nor point", word), "write --decimal " + cmp.Or(source.Meant(word, decimalMarks), "comma or --decimal point")}
		}
		*mark = word
		return nil
	}}
}

func noSuchCommand(root *cobra.Command, args []string) error {
	if len(args) == 0 {
		return nil
	}
	return &usageError{fmt.Sprintf("there is no command %q", args[0]), source.DidYouMean(args[0], namesOfAll(root))}
}

func namesOfAll(c *cobra.Command) []string {
	return sheet.Each(c.Commands(), func(sub **cobra.Command) string { return (*sub).Name() })
}

// flagError refuses a flag, with the one that was meant where there is one, or its value.
func flagError(c *cobra.Command, err error) error {
	if wrong, ok := errors.AsType[*pflag.InvalidValueError](err); ok {
		return wrongValue(wrong.GetFlag(), wrong.GetValue(), wrong.Unwrap())
	}
	remedy := "see --help"
	if unknown, ok := errors.AsType[*pflag.NotExistError](err); ok {
		var known []string
		c.Flags().VisitAll(func(f *pflag.Flag) { known = append(known, f.Name) })
		if meant := source.Meant(unknown.GetSpecifiedName(), known); meant != "" {
			remedy = "did you mean --" + meant + "?"
		}
	}
	return &usageError{err.Error(), remedy}
}

// wrongValue refuses the value of a flag, and shows one that is taken.
func wrongValue(f *pflag.Flag, value string, err error) error {
	what, remedy := err.Error(), "see --help"
	if reported, is := errors.AsType[*usageError](err); is {
		what, remedy = reported.what, reported.remedy
	}
	write := func(example string) { remedy = "write --" + f.Name + " " + example }
	switch f.Value.Type() {
	case "duration":
		what = fmt.Sprintf("%q is no length of time", value)
		if n, err := strconv.Atoi(value); err == nil && n > 0 {
			write(value + "s")
		} else {
			write("90s")
		}
	case "int":
		what = fmt.Sprintf("%q is not a whole number", value)
		write("8080")
	case "bool":
		what, remedy = fmt.Sprintf("%q is neither true nor false", value), "write --"+f.Name+" alone"
	}
	return &usageError{"--" + f.Name + ": " + what, remedy}
}

// singleQuoted finds a text that a shell left in single quotes, as that of Windows
// does, which parts it at its spaces.
func singleQuoted(args []string) (string, bool) {
	for i, first := range args {
		if _, value, isFlag := strings.Cut(first, "="); isFlag && strings.HasPrefix(first, "-") {
			first = value
		}
		text, quoted := strings.CutPrefix(first, "'")
		for n := i; quoted && n < len(args); n++ {
			if n > i {
				text += " " + args[n]
			}
			if whole, ended := strings.CutSuffix(text, "'"); ended {
				return whole, true
			}
		}
	}
	return "", false
}

// parted finds a flag whose amount or percentage the shell parted from its currency
// or sign, and writes it in quotes.
func parted(args []string) (string, bool) {
	if len(args) > 0 && args[0] == "rates" { // which takes currencies by themselves
		return "", false
	}
	for i := 1; i+1 < len(args); i++ {
		flag, figure, joined := strings.Cut(args[i-1]+" "+args[i], " ")
		if of, value, is := strings.Cut(args[i], "="); is && strings.HasPrefix(of, "-") {
			flag, figure, joined = of, value, true
		}
		if !joined || !strings.HasPrefix(flag, "-") || figure == "" || strings.Trim(figure, "0123456789.,") != "" {
			continue
		}
		if args[i+1] == "%" {
			return flag + " " + figure + "%", true
		}
		if _, err := money.ParseCurrency(strings.ToUpper(args[i+1])); err == nil {
			return flag + ` "` + figure + " " + strings.ToUpper(args[i+1]) + `"`, true
		}
	}
	return "", false
}

func takes(least, most int, what, remedy string) cobra.PositionalArgs {
	return func(_ *cobra.Command, args []string) error {
		if len(args) < least || len(args) > most {
			return &usageError{what, remedy}
		}
		return nil
	}
}

// oneFile wants the lot file as the one argument.
func oneFile(c *cobra.Command, args []string) error {
	switch {
	case len(args) == 0:
		return &usageError{c.Name() + " needs a lot file", "lotcost " + c.Name() + " haul.yaml, or - for standard input"}
	case args[0] == "":
		return &usageError{"the name of the lot file is empty", "lotcost " + c.Name() + " haul.yaml, or - for standard input"}
	case len(args) > 1:
		return &usageError{fmt.Sprintf("%s takes one lot file, not %d", c.Name(), len(args)), "name one, and put a name with spaces in quotes"}
	}
	return nil
}

// ending completes the names of files with one of some endings.
func ending(endings ...string) cobra.CompletionFunc {
	return func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		return endings, cobra.ShellCompDirectiveFilterFileExt
	}
}

// firstEnding is [ending] for the first argument, behind which no file comes.
func firstEnding(endings ...string) cobra.CompletionFunc {
	return func(c *cobra.Command, args []string, typed string) ([]string, cobra.ShellCompDirective) {
		if len(args) > 0 {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		return ending(endings...)(c, args, typed)
	}
}

// lotFiles completes the names of lot files.
var lotFiles = firstEnding("yaml", "yml")

func folders(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	return nil, cobra.ShellCompDirectiveFilterDirs
}

// takesFile completes a flag that takes a file with one of some endings, or a folder where there
// are none.
func takesFile(c *cobra.Command, flag string, endings ...string) {
	completed(c, flag, sheet.Either(endings == nil, folders, ending(endings...)))
}

func completed(c *cobra.Command, flag string, completion cobra.CompletionFunc) {
	if err := c.RegisterFlagCompletionFunc(flag, completion); err != nil {
		panic(err) // the flag was not defined
	}
}

// words completes a flag that takes one of a few words.
func words(c *cobra.Command, flag string, known ...string) {
	completed(c, flag, cobra.FixedCompletions(known, cobra.ShellCompDirectiveNoFileComp))
}

// lazily completes with words that are worked out only when asked.
func lazily(known func() []string) cobra.CompletionFunc {
	return func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		return known(), cobra.ShellCompDirectiveNoFileComp
	}
}
