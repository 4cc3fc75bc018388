package desk

import (
	"strings"

	"lotcost/cmd/lotcost/internal/sheet"
)

// inPlace says for readers without a command line what the commands say of their flags.
var inPlace = strings.NewReplacer(
	" (lotcost duty shows how)", "",
	" (lotcost bid counts the chances)", "",
	"; lotcost duty shows it bid by bid", "",
	": lotcost check says what it may add", "",
	"; --sell says otherwise", "",
	"; once one is won or lost, ask again with --won or --lost, or write it in the file", "; it moves once you press won or lost",
	": --item with --at judges one price", ": try one out in its row",
	": --duty 2.7%, or --duty 0% where the goods are free of it", ": write it at the class of the goods, 0% where they are free of it",
)

// withoutFlags is a sheet for readers without a command line.
func withoutFlags(s *sheet.Sheet) *sheet.Sheet {
	out := &sheet.Sheet{}
	for _, b := range s.Blocks {
		switch of := b.(type) {
		case sheet.Text:
			b = sheet.Text(inPlace.Replace(string(of)))
		case sheet.Note:
			of.Text = inPlace.Replace(of.Text)
			b = of
		}
		out.Add(b)
	}
	return out
}
