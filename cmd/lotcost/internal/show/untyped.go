package show

import (
	"strings"

	"lotcost/cmd/lotcost/internal/sheet"
)

// inPlace is what a reader without a command line is told in place of what commands say of others
// and of their flags.
var inPlace = strings.NewReplacer(
	" (lotcost duty shows how)", "",
	" (lotcost together plans them)", "",
	" (lotcost bid counts the chances)", "",
	"; lotcost duty shows it bid by bid", "",
	": lotcost check says what it may add", "",
	"; --sell says otherwise", "",
	"; --lot ID goes through all bids for one", "",
	" lotcost rules CA shows each figure.", "",
	"; give --next-price to count what it may go for", "",
	"; once one is won or lost, ask again with --won or --lost, or write it in the file", "; it moves once you mark one won or lost",
	`: its code, as in code: "8205.59", makes it sure`, ": its tariff code makes it sure",
	" (key likely of the lot)", "",
	": --item with --at judges one price", "",
	": --duty 2.7%, or --duty 0% where the goods are free of it", ": write it at the class of the goods, 0% where they are free of it",
)

// Untyped is a sheet for readers without a command line: of a page, of a workbook, of the desk.
func Untyped(s *sheet.Sheet) *sheet.Sheet { return s.Reworded(inPlace.Replace) }
