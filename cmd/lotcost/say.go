package main

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/cmd/lotcost/internal/show"
	"lotcost/cmd/lotcost/internal/whole"
	"lotcost/fx"
	"lotcost/landed"
	"lotcost/landed/lotfile"
	"lotcost/landed/money"
	"lotcost/landed/source"
)

// What is said to a person beside the result is said here. Results go to
// standard output, all else to standard error. A fault is one line, "file:line:
// column: field: what is wrong: what would put it right"; what is only strange
// says warning: before the field. Other lines begin with error: or
// hint:. Nothing is said about what went well, but how a search goes that takes
// long: on a terminal one line, which goes when it ends, else one every ten seconds.

// Exit codes.
const (
	exitFine  = 0
	exitNo    = 1 // the answer is no
	exitInput = 2 // the input is wrong
	exitFail  = 3 // the machine failed
)

// exitHelp and bookHelp are what the help of several commands says.
const (
	exitHelp = `Exit codes: 0 fine, 1 the answer is no (a check that fails),
2 the input is wrong, 3 the machine failed (a file cannot be read or written).`
	bookHelp = `A lot file belongs to the book when its name ends in .yaml and one of its lines
is lotcost: 1; folders below are read too, links are not followed. A file with a
mistake is named and left out, and the exit code is 2; the rest is shown.`
)

// usageError is a command line that makes no sense.
type usageError struct{ what, remedy string }

func (e *usageError) Error() string { return e.what + ": " + e.remedy }

// exitCode is one, as an error. Whatever there is to say has been said.
type exitCode int

func (c exitCode) Error() string { return fmt.Sprintf("exit code %d", int(c)) }

// explain says of an error how what it asks for is written in the file that was read.
func (s streams) explain(err error) error {
	var as lotfile.Examples
	if f := *s.file; f != nil && err != nil {
		as = f.Examples()
	}
	as.Comma = s.commas()
	return lotfile.Explain(err, as)
}

// explained says of faults how what they ask for is written in a file, or asked of this
// command.
func (s streams) explained(faults source.Faults) source.Faults {
	errors.As(s.explain(faults), &faults)
	for _, f := range faults {
		if none, is := errors.AsType[*fx.NoRateError](f.Err); is && f.At.File == "" {
			give := fmt.Sprintf("no rate from %s to %s: give --rate '100 %[1]s = … %[2]s'", none.From, none.To)
			if f.Field == "" { // one of the commands about rates
				give += ", or a --table that holds it"
			}
			f.What = strings.ReplaceAll(f.What, none.Error(), give)
		}
		if f.Figure == "open-price" {
			f.Remedy += "; lotcost bid says how high to go"
		}
	}
	return faults
}

// inputFault makes a fault of what is wrong with what the user gave.
func inputFault(at source.Origin, err error) source.Faults {
	return source.Faults{{At: at, What: err.Error(), Err: err}}
}

// mostFaults is how many faults are reported at once.
const mostFaults = 40

// tell says what went wrong and returns the exit code for it.
func (s streams) tell(err error) int {
	var usage *usageError
	var faults source.Faults
	var output *whole.Error
	var left leftOut
	var code exitCode
	if !errors.As(err, &faults) {
		s.tellStrange(nil)
	}
	switch {
	case err == nil:
		return exitFine
	case errors.As(err, &code):
		return int(code)
	case errors.As(err, &usage):
		fmt.Fprintln(s.err, sheet.Visible("error: "+err.Error()))
		fmt.Fprintln(s.err, `hint: "lotcost --help" lists the commands, "lotcost COMMAND --help" explains one`)
		return exitInput
	case errors.As(err, &left):
		s.tellLeftOut(left)
		return exitInput
	case errors.As(err, &faults) && !errors.As(err, &output):
		s.tellFaults(s.explained(faults))
		return exitInput
	}
	fmt.Fprintln(s.err, sheet.Visible("error: "+err.Error()))
	return exitFail
}

func (s streams) tellFaults(faults source.Faults) {
	s.tellStrange(faults)
	for _, f := range faults[:min(len(faults), mostFaults)] {
		fmt.Fprintln(s.err, sheet.Visible(f.Error()))
	}
	if more := len(faults) - mostFaults; more > 0 && len(faults) <= source.MaxFaults {
		fmt.Fprintf(s.err, "… and %d more\n", more)
	}
	if len(faults) > source.MaxFaults {
		fmt.Fprintf(s.err, "error: more than %d errors, nothing was written\n", source.MaxFaults)
		return
	}
	fmt.Fprintf(s.err, "error: %s, nothing was written\n", show.Plural(int64(len(faults)), "error"))
}

// tellLeftOut tells what is wrong with the files that a book goes without, by file: once what is
// wrong in defaults that many name.
func (s streams) tellLeftOut(left leftOut) {
	slices.SortFunc(left, func(a, b outside) int { return strings.Compare(a.file, b.file) })
	reported := map[string]bool{}
	for _, o := range left {
		for _, f := range o.faults {
			text := sheet.Visible(f.Error())
			if !reported[text] && len(reported) < mostFaults {
				fmt.Fprintln(s.err, text)
			}
			reported[text] = true
		}
	}
	if more := len(reported) - mostFaults; more > 0 {
		fmt.Fprintf(s.err, "… and %d more\n", more)
	}
	fmt.Fprintln(s.err, "error: "+left.Error())
}

func (s streams) tellEmpty(folder string) {
	fmt.Fprintln(s.err, sheet.Visible("hint: there is no haul in "+folder+": a lot file of the book has a name that ends in .yaml and the line lotcost: 1, and something in it was bought"))
}

// warn keeps what is strange in a file but not wrong until the command ends:
// what is wrong at the same place is then reported alone.
func (s streams) warn(f *source.Fault) { *s.strange = append(*s.strange, f) }

// withoutBook warns of chances that are to come from a book where none is named.
func (s streams) withoutBook(h *landed.Haul) {
	for _, it := range h.Items() {
		if it.Known != nil && it.Known.Asked && it.Found == nil {
			s.warn(&source.Fault{At: it.Known.At, Field: "item " + it.ID + ": chances", Warning: true, What: "they are to come from your book, and none is named: your own are taken", Remedy: "add --book FOLDER"})
		}
	}
}

// estimating warns of a bill of the border for a lot that is bid for though it was bought.
func (s streams) estimating(h *landed.Haul, lot string) {
	aside := func(of string, at source.Origin, b landed.Bill) {
		if b != (landed.Bill{}) {
			s.warn(&source.Fault{At: at.Key("assessed"), Field: of + ": assessed", Warning: true,
				What: "it is not counted: it is for what was paid for " + lot + ", and at other bids the border is estimated"})
		}
	}
	if h.Border != nil {
		aside("customs", h.Border.At, h.Border.Bill)
	}
	for i := range h.Parcels {
		if p := &h.Parcels[i]; slices.Contains(p.Lots, lot) {
			aside("parcel "+p.ID, p.At, p.Bill)
		}
	}
}

// tellStrange tells the warnings of places where no fault stands.
func (s streams) tellStrange(beside source.Faults) {
	for _, f := range *s.strange {
		if !slices.ContainsFunc(beside, func(wrong *source.Fault) bool { return wrong.At == f.At }) {
			fmt.Fprintln(s.err, sheet.Visible(f.Error()))
		}
	}
	*s.strange = nil
}

// waiting tells how a long search goes: on a terminal in a line that stands, else
// in a line now and then.
type waiting struct {
	streams
	doing, ends string    // what is done, and what ends it
	next        time.Time // when there is something to tell
	shown       bool
}

// soon is when a search begins to take long, often how long a line stands, rarely
// how far apart lines are where there is no terminal.
const soon, often, rarely = 500 * time.Millisecond, 200 * time.Millisecond, 10 * time.Second

func (s streams) waiting() *waiting {
	w := &waiting{streams: s, doing: "searching", ends: "Ctrl-C takes it", next: time.Now().Add(rarely)}
	if s.watched {
		w.next = time.Now().Add(soon)
	}
	return w
}

// tell takes what is to be said of the search, which is only put in words when it
// is time to.
func (w *waiting) tell(words func() string) {
	now := time.Now()
	if now.Before(w.next) {
		return
	}
	if w.next, w.shown = now.Add(rarely), w.watched; !w.watched {
		fmt.Fprintln(w.err, w.doing+", "+words())
		return
	}
	w.next = now.Add(often)
	fmt.Fprint(w.err, sheet.ClearLine+w.doing+", "+words()+"; "+w.ends)
}

// parcels takes the progress of a [together.Options].
func (w *waiting) parcels(home money.Currency) func(done, total int, best int64) {
	return func(done, total int, best int64) {
		w.tell(func() string {
			found := sheet.Either(best >= 0, money.New(best, home).String()+" for sending", "none yet")
			return fmt.Sprintf("%d of about %d; best so far: %s", done, total, found)
		})
	}
}

func (w *waiting) end() {
	if w.shown {
		fmt.Fprint(w.err, sheet.ClearLine)
	}
}
