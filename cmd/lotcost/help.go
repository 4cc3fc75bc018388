package main

import (
	"embed"
	"fmt"
	"io"
	"slices"
	"strings"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/cmd/lotcost/internal/show"
	"lotcost/landed/lotfile"
	"lotcost/landed/source"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

//go:embed topics/*.md
var topicTexts embed.FS

//go:embed topics/commands.md
var commandTexts string

// command is a command with what help says of it, by the words that call it, and with flags if any.
func command(words string, flags interface{ addFlags(*cobra.Command) }, args cobra.PositionalArgs, completion cobra.CompletionFunc, run func(*cobra.Command, []string) error) *cobra.Command {
	_, text, _ := strings.Cut(commandTexts, "\n## "+words+"\n")
	text, _, _ = strings.Cut(text, "\n\n## ")
	use, text, _ := strings.Cut(text, "\n")
	short, text, _ := strings.Cut(text, "\n")
	text = strings.ReplaceAll(strings.ReplaceAll(text, "{exit}", exitHelp), "{book}", bookHelp)
	if before, after, is := strings.Cut(text, "{basis}"); is {
		text = before + "  " + strings.ReplaceAll(show.BasisAdvice(), "\n", "\n  ") + after
	}
	long, example, _ := strings.Cut(text, "\n### For instance\n\n")
	c := &cobra.Command{Use: use, Short: short, Long: strings.Trim(long, "\n"), Example: strings.Trim(example, "\n"), Args: args, ValidArgsFunction: completion, RunE: run}
	if flags != nil {
		flags.addFlags(c)
	}
	return c
}

type helpTopic struct {
	name, short string
	sections    []string
}

// topics are what help explains beside the commands, and the sections of the
// reference that belong to each; the first one has them all.
var topics = []helpTopic{
	{"file", "all that may stand in a lot file, with an example for every key", nil},
	{"basis", "what a cost is shared by", []string{"share"}},
	{"border", "what the border adds", []string{"customs", "customs: a class"}},
	{"evening", "several open lots that close one after the other", []string{"lots"}},
	{"odds", "what untested pieces may make", []string{"chances", "chances: from the book", "risks", "bidding", "bidding: the goal"}},
	{"venues", "where pieces are sold", []string{"selling", "venues", "venues: a fee"}},
}

func newHelp(s streams, root *cobra.Command) *cobra.Command {
	return &cobra.Command{
		Use:               "help [COMMAND] | help TOPIC | help file SECTION",
		Short:             "What a command does, what may stand in a file, how it is counted",
		ValidArgsFunction: lazily(func() []string { return helpNames(root) }),
		RunE: func(c *cobra.Command, args []string) error {
			if blocks, err := topic(args); blocks != nil || err != nil {
				if err != nil {
					return err
				}
				return writeBlocks(s, c.OutOrStdout(), blocks)
			}
			found, rest, err := root.Find(args)
			if err == nil && len(rest) == 0 && (found != root || len(args) == 0) {
				return found.Help()
			}
			remedy := "did you mean lotcost help file " + strings.Join(args, " ") + "?"
			if _, err := topic(append([]string{topics[0].name}, args...)); err != nil {
				remedy = source.DidYouMean(args[len(args)-1], helpNames(root))
			}
			return &usageError{fmt.Sprintf("there is no command or topic %q", strings.Join(args, " ")), remedy}
		},
	}
}

// topic is what is reported of one; nil where the words name none.
func topic(args []string) ([]sheet.Block, error) {
	i := slices.IndexFunc(topics, func(t helpTopic) bool { return len(args) > 0 && t.name == args[0] })
	if i < 0 {
		return nil, nil
	}
	t := topics[i]
	if i > 0 {
		text, err := topicTexts.ReadFile("topics/" + t.name + ".md")
		if err != nil {
			return nil, err
		}
		return append(markdown(string(text)), markdown(sectionsOf(lotfile.Reference(), t.sections))...), nil
	}
	if len(args) == 1 {
		return markdown(lotfile.Reference()), nil
	}
	name := strings.Join(args[1:], " ")
	var sections, known []string
	for line := range strings.Lines(lotfile.Reference()) {
		if section, is := strings.CutPrefix(strings.TrimSpace(line), "## "); is {
			known = append(known, section)
			if first, _, _ := strings.Cut(section, ":"); strings.EqualFold(first, name) || strings.EqualFold(section, name) {
				sections = append(sections, section)
			}
		}
	}
	if sections == nil {
		return nil, &usageError{fmt.Sprintf("the reference has no section %q", name), source.DidYouMean(name, known)}
	}
	return markdown(sectionsOf(lotfile.Reference(), sections)), nil
}

// sectionsOf are some sections of a text in Markdown, by their titles.
func sectionsOf(text string, titles []string) string {
	var out strings.Builder
	for part := range strings.SplitSeq(text, "\n## ") {
		if title, _, _ := strings.Cut(part, "\n"); slices.Contains(titles, title) {
			out.WriteString("\n## " + part + "\n")
		}
	}
	return out.String()
}

// markdown makes blocks of a text in the Markdown of our own files: titles,
// paragraphs and tables of two columns.
func markdown(text string) []sheet.Block {
	var blocks []sheet.Block
	for part := range strings.SplitSeq(strings.TrimSpace(text), "\n\n") {
		part = strings.ReplaceAll(strings.TrimSpace(part), "`", "")
		switch {
		case strings.HasPrefix(part, "#"):
			blocks = append(blocks, sheet.Heading(strings.TrimLeft(part, "# ")))
		case strings.HasPrefix(part, "|"):
			blocks = append(blocks, markdownTable(part))
		case part != "":
			blocks = append(blocks, sheet.Text(strings.ReplaceAll(part, "\n", " ")))
		}
	}
	return blocks
}

func markdownTable(text string) *sheet.Table {
	t := &sheet.Table{}
	for n, line := range strings.Split(text, "\n") {
		cells := strings.Split(strings.Trim(line, "| "), " | ")
		switch n {
		case 0:
			for _, head := range cells {
				t.Columns = append(t.Columns, sheet.Column{Head: head, Wrap: true, Min: 24})
			}
		case 1: // the line under the heads
		default:
			t.Add(sheet.Each(cells, func(cell *string) any { return *cell })...)
		}
	}
	return t
}

func helpNames(root *cobra.Command) (names []string) {
	for _, c := range root.Commands() {
		if c.IsAvailableCommand() {
			names = append(names, c.Name())
		}
	}
	for _, t := range topics {
		names = append(names, t.name)
	}
	return names
}

// helpWidth is how wide help is where there is no terminal, or a wider one.
const helpWidth = 80

// writeHelp writes what a command is for, how it is called, and its flags.
func writeHelp(s streams, c *cobra.Command, w io.Writer) error {
	doc := &sheet.Sheet{}
	doc.Add(sheet.Heading(c.CommandPath()+": "+c.Short), sheet.Text(called(c)))
	doc.Add(paragraphs(c.Long)...)
	if !c.HasParent() {
		t := listing("What lotcost help explains beside the commands")
		for _, topic := range topics {
			listed(t, topic.name, topic.short)
		}
		doc.Add(t)
	}
	if c.HasParent() && c.HasAvailableSubCommands() {
		doc.Add(commandTable(c))
	}
	if c.Example != "" {
		doc.Add(sheet.Heading("For instance"), sheet.Text(c.Example))
	}
	for _, t := range flagTables(c) {
		doc.Add(t)
	}
	return writeBlocks(s, w, doc.Blocks)
}

func writeBlocks(s streams, w io.Writer, blocks []sheet.Block) error {
	terminal := s.terminal
	if terminal.Width == 0 || terminal.Width > helpWidth {
		terminal.Width = helpWidth
	}
	return (&sheet.Sheet{Blocks: blocks}).WriteText(w, terminal)
}

// called is how a command is called, a line for each way.
func called(c *cobra.Command) string {
	before := ""
	if c.HasParent() {
		before = c.Parent().CommandPath() + " "
	}
	return "  " + before + strings.ReplaceAll(c.Use, " | ", "\n  "+before)
}

// paragraphs takes a text apart at its empty lines. Lines that are set in stay as
// they are, or are a table where each has parts two spaces apart; the others are
// filled.
func paragraphs(text string) []sheet.Block {
	var blocks []sheet.Block
	for part := range strings.SplitSeq(text, "\n\n") {
		lines := strings.Split(part, "\n")
		at := slices.IndexFunc(lines, func(line string) bool { return strings.HasPrefix(line, "  ") })
		if at < 0 {
			at = len(lines)
		}
		if at > 0 && lines[0] != "" {
			blocks = append(blocks, sheet.Text(strings.Join(lines[:at], " ")))
		}
		if at < len(lines) {
			blocks = append(blocks, setIn(lines[at:]))
		}
	}
	return blocks
}

// setIn is a table of lines whose parts stand two spaces or more apart, or else
// their text.
func setIn(lines []string) sheet.Block {
	t := &sheet.Table{}
	for _, line := range lines {
		parts := apart(line[min(2, len(line)):])
		if len(parts) < 2 || len(t.Columns) > 0 && len(parts) != len(t.Columns) {
			return sheet.Text(strings.Join(lines, "\n"))
		}
		if t.Columns == nil {
			t.Columns = make([]sheet.Column, len(parts))
			t.Columns[len(parts)-1] = sheet.Column{Wrap: true, Min: 20}
		}
		parts[0] = "  " + parts[0]
		t.Add(sheet.Each(parts, func(part *string) any { return *part })...)
	}
	return t
}

// apart parts a line where two blanks or more stand.
func apart(line string) []string {
	before, after, parted := strings.Cut(line, "  ")
	if !parted {
		return []string{line}
	}
	return append([]string{before}, apart(strings.TrimLeft(after, " "))...)
}

func commandTable(c *cobra.Command) *sheet.Table {
	t := listing("Its commands")
	for _, sub := range c.Commands() {
		if sub.IsAvailableCommand() {
			listed(t, sub.Name(), sub.Short)
		}
	}
	return t
}

func listing(title string) *sheet.Table {
	return &sheet.Table{Title: title, Columns: []sheet.Column{{}, {Wrap: true, Min: 20}}}
}

func listed(t *sheet.Table, word, meaning string) {
	t.Add("  "+word, meaning)
}

// ofResult are the flags that say how a result is written.
var ofResult = []string{"format", "output", "columns", "decimal"}

// standIn begins what is said of a flag that is for want of a lot file.
const standIn = "without a lot file: "

// flagTables are the flags of a command, by what they are for.
func flagTables(c *cobra.Command) []*sheet.Table {
	own, figures, result := listing("What can be asked for"), listing("In place of a lot file"), listing("How the result is written")
	c.LocalFlags() // makes the inherited ones known
	c.Flags().VisitAll(func(f *pflag.Flag) {
		value, meaning := pflag.UnquoteUsage(f)
		name := "--" + f.Name
		if f.Shorthand != "" {
			name = "-" + f.Shorthand + ", " + name
		}
		word := strings.TrimSpace(name + " " + strings.ToUpper(value))
		if f.DefValue != "" && !slices.Contains([]string{"false", "[]", "0"}, f.DefValue) && !strings.Contains(meaning, "default") {
			meaning += "; default " + f.DefValue
		}
		short, isFigure := strings.CutPrefix(meaning, standIn)
		switch {
		case f.Hidden || f.Name == "help":
		case isFigure:
			listed(figures, word, short)
		case slices.Contains(ofResult, f.Name):
			listed(result, word, meaning)
		default:
			listed(own, word, meaning)
		}
	})
	return slices.DeleteFunc([]*sheet.Table{own, figures, result}, func(t *sheet.Table) bool { return len(t.Rows) == 0 })
}
