package lotfile

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"lotcost/landed"
	"lotcost/landed/book"
	"lotcost/landed/customs"
	"lotcost/landed/internal/input"
	"lotcost/landed/internal/scrub"
	"lotcost/landed/money"
	"lotcost/landed/source"

	"github.com/shopspring/decimal"
)

// Defaults tell what a lot file takes from the file of the user's own that it
// names under with.
type Defaults struct {
	// Figures are those of the sections that either file may hold, in the order in
	// which they are read, each with where it stands.
	Figures []Figure

	// Beside is set where the file was looked for in the working folder, since the
	// lot file came by standard input.
	Beside bool

	wanted   map[string]int64 // how many pieces of a model are to be kept, by its name; that of default of every other one
	yearFrom time.Time        // on which the years of the book begin, in 2001; zero where it does not say
}

// InBook is the haul as a book takes it, by the name of its file in the book.
func (f *File) InBook(name string) book.Haul {
	h := book.Haul{Name: name, Haul: f.Haul, Selling: f.Selling}
	if f.Defaults != nil {
		h.Wanted, h.YearFrom = f.Defaults.wanted, f.Defaults.yearFrom
	}
	return h
}

// Figure is something that a file says.
type Figure struct {
	What  string        // the key, as in "customs: use", or what else it is, as in "premium of crate-a"
	Value string        // in a few words
	At    source.Origin // where it stands
}

// bookFile is a file of defaults that is being used.
type bookFile struct {
	*input.Map
	file, folder string
	home         money.Currency // of its bare numbers; none when it does not say
	premiums     map[string]premium
	used         Defaults
}

// premium is that of a seller.
type premium struct {
	rate decimal.Decimal
	at   input.Node
}

// bookKeys are the keys of a file of defaults. The last is there to be refused.
var bookKeys = []string{"lotcost-book", "decimal", "home", "to", "exchange", "share", "losses", "customs", "sending", "selling", "bidding", "risks", "premiums", "wanted", "year-from", "with"}

// bookMark is how a file of defaults begins, notes and empty lines aside. Of a
// file that does not nothing is reported but that.
var bookMark = scrub.Pattern(`^lotcost-book:[ \t]+` + version + `[ \t]*(#.*)?$`)

func isBook(data []byte) bool {
	for line := range bytes.Lines(bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))) {
		line = bytes.TrimRight(line, " \t\r\n")
		if note := bytes.TrimLeft(line, " \t"); len(note) > 0 && note[0] != '#' && string(line) != "---" {
			return bytes.HasPrefix(line, []byte("lotcost-book:")) && bookMark().Match(line)
		}
	}
	return false
}

// mostAbove is how many folders above the lot file its defaults may stand.
const mostAbove = 3

// above takes a path apart: how many folders above it begins, and the rest.
func above(name string) (folders int, rest string) {
	rest = filepath.Clean(filepath.FromSlash(name))
	for {
		after, up := strings.CutPrefix(rest, ".."+string(filepath.Separator))
		if !up {
			return folders, rest
		}
		folders, rest = folders+1, after
	}
}

// defaults reads the file that a lot file names under with. It reports false when
// it names one that could not be read.
func (r *reader) defaults(n input.Node) (whole bool) {
	name, ok := n.Text()
	if !ok {
		return !n.Given()
	}
	up, rest := above(name)
	if up > mostAbove || !filepath.IsLocal(rest) {
		n.Fail("the path "+quote(name)+" leads too far away", "put the file beside the lot file or up to three folders above, as in with: ../book.yaml")
		return false
	}
	// Not joined: of a folder that is a link, the one above is that of what it links to.
	folder := r.folder + strings.Repeat(string(filepath.Separator)+"..", up)
	beside := " beside the lot file"
	switch {
	case r.piped:
		beside = " in the working folder, where it is looked for since the lot file came by standard input"
	case up > 0:
		beside = ""
	}
	trial := r.trial
	r.trial = false // whether commas part figures may stand there alone
	f, ok := r.openIn(n, place{folder, rest, name, beside, "the file must be readable, and no link may lead out of its folder"})
	if r.trial = trial; !ok {
		return false
	}
	data, ok := contents(n, f, input.MaxBytes)
	if !ok {
		return false
	}
	if !isBook(data) {
		n.Fail(quote(name)+" does not begin with lotcost-book: "+version, "name a file of your defaults, and let that be its first line")
		return false
	}
	path := shortest(folder, rest)
	if text, tried := r.instead[path]; tried {
		data = text
	}
	root, ok := r.parsed(n, path, data)
	if !ok {
		return false
	}
	r.book = &bookFile{file: path, folder: filepath.Dir(path), premiums: map[string]premium{}, used: Defaults{Beside: r.piped}}
	r.book.Map = root.Map(bookKeys...)
	r.decimal(r.book.Map, &input.Marks{})
	if chain := r.book.Get("with"); chain.Given() {
		chain.Fail("defaults name no defaults of their own", "write all of them in one file")
	}
	r.book.home, _ = input.Scalar(r.book.Get("home"), money.ParseCurrency)
	r.book.used.wanted = r.wanted(r.book.Get("wanted"))
	r.book.used.yearFrom, _ = input.Scalar(r.book.Get("year-from"), parseYearFrom)
	r.book.Get("premiums").Entries(func(seller string, _, n input.Node) {
		r.book.premiums[seller] = premium{r.fraction(n, "10%"), n}
	})
	return true
}

// shortest is the path of a file in a folder, without the folders that are only
// passed through, where that leads to the same file.
func shortest(folder, name string) string {
	long := folder + string(filepath.Separator) + name
	short := filepath.Join(folder, name)
	a, err := os.Stat(long)
	b, err2 := os.Stat(short)
	if err != nil || err2 != nil || !os.SameFile(a, b) {
		return long
	}
	return short
}

// wanted reads how many pieces of each model are to be kept.
func (r *reader) wanted(n input.Node) map[string]int64 {
	wanted := map[string]int64{}
	n.Entries(func(model string, _, value input.Node) { wanted[model] = r.pieces(value, model) })
	return wanted
}

// parseYearFrom reads a day of any year, which 29 February is not.
func parseYearFrom(text string) (time.Time, error) {
	day, err := time.Parse(time.DateOnly, "2001-"+text)
	if err != nil {
		err = fmt.Errorf("%q is no day of every year: write month-day, as in 04-06 for 6 April", text)
	}
	return day, err
}

// inBook reports whether a value stands in the defaults.
func (r *reader) inBook(n input.Node) bool { return r.book != nil && n.Origin().File == r.book.file }

// folderOf is the folder of the file in which a value stands.
func (r *reader) folderOf(n input.Node) string {
	if r.inBook(n) {
		return r.book.folder
	}
	return r.folder
}

// section is a section of the lot file, or else that of the defaults.
func (r *reader) section(m *input.Map, key string) input.Node {
	n := m.Get(key)
	if r.book == nil {
		return n
	}
	if !n.Given() && !m.Misspelt(key) && r.book.Has(key) {
		n = r.book.Get(key)
	}
	if !n.IsMap() {
		r.tell(key, n)
	}
	n.Each(func(name string, value input.Node) {
		if key != "customs" || name != "classes" {
			r.tell(key+": "+name, value)
			return
		}
		value.Each(func(class string, value input.Node) { r.tell("customs: class "+class, value) })
	})
	return n
}

// customsOf is the customs section; that of the defaults is for hauls that cross
// a border.
func (r *reader) customsOf(m *input.Map, h *landed.Haul) input.Node {
	if n := m.Get("customs"); n.Given() || h.From == "" || h.To == "" || customs.NewBook(r.Rules).HasBorder(h.From, h.To) {
		return r.section(m, "customs")
	}
	return input.Node{}
}

// beside is the section of the defaults that stands beside one of the lot file.
func (r *reader) beside(section input.Node, key string) input.Node {
	if r.book == nil || !section.Given() || r.inBook(section) {
		return input.Node{}
	}
	return r.book.Get(key)
}

// in reads a section: a bare number is of the home of the file in which it stands.
func (r *reader) in(section input.Node, read func(input.Node)) {
	home := r.home
	if r.inBook(section) && r.book.home != 0 {
		r.home = r.book.home
	}
	read(section)
	r.home = home
}

// below lets what is not in the lot file be found in the defaults.
func (r *reader) below(at source.Origin) source.Origin {
	if r.book == nil {
		return at
	}
	there := r.book.Origin()
	there.Line, there.Column = 0, 0
	return at.Or(there)
}

// premium reads that of a lot, which is its seller's where it has none of its own, and takes down
// a lot of which neither is said.
func (r *reader) premium(lot *landed.Lot, m *input.Map) decimal.Decimal {
	n, said := m.Get("premium"), m.Has("premium") || m.Misspelt("premium")
	rate := r.premiumOf(n, lot)
	if r.book != nil {
		if usual, known := r.book.premiums[lot.Seller]; known && !n.Given() {
			rate, n, said = usual.rate, usual.at, true
		}
		if lot.Settled.Currency() == 0 {
			r.tell("premium of "+lot.ID, n)
		}
	}
	if !said && lot.Seller != "" && lot.Settled.Currency() == 0 && !lot.Lost {
		r.Room.unasked = append(r.Room.unasked, [2]source.Origin{lot.At, m.KeyNode("price").Origin()})
	}
	return rate
}

// forgottenPremiums warns of lots of which no premium is said, where the same seller asks one for
// another.
func (r *reader) forgottenPremiums(h *landed.Haul) {
	var asks map[string]*landed.Lot // the first of each seller that has one
	for i := range h.Lots {
		if l := &h.Lots[i]; len(r.Room.unasked) > 0 && l.Premium.Sign() > 0 && asks[l.Seller] == nil {
			if asks == nil {
				asks = map[string]*landed.Lot{}
			}
			asks[l.Seller] = l
		}
	}
	i := 0
	for _, at := range r.Room.unasked { // in the order of the lots
		for h.Lots[i].At != at[0] {
			i++
		}
		if l := &h.Lots[i]; asks[l.Seller] != nil {
			premium := money.FormatPercent(asks[l.Seller].Premium)
			r.report.Add(&source.Fault{At: at[1], Field: "lot " + l.ID + ": premium", Warning: true, What: fmt.Sprintf("none is given, and %s of %s has %s", asks[l.Seller].ID, l.Seller, premium),
				Remedy: "write premium: " + premium + ", or premium: 0% if none is asked"})
		}
	}
}

// mostSellers is among how many sellers of a haul one is looked for that is spelt in two ways.
const mostSellers = 64

// alikeSellers warns of sellers whose names differ in capitals alone: they count as two, each with
// a premium and a parcel of his own.
func (r *reader) alikeSellers(h *landed.Haul) {
	known := make([]string, 0, mostSellers)
	for i := range h.Lots {
		l, meant := &h.Lots[i], ""
		if slices.Contains(known, l.Seller) {
			continue
		}
		see := func(name string) {
			if name != l.Seller && strings.EqualFold(name, l.Seller) && (meant == "" || name < meant) {
				meant = name
			}
		}
		for _, name := range known {
			see(name)
		}
		if r.book != nil {
			for name := range r.book.premiums {
				see(name)
			}
		}
		if meant != "" {
			r.report.Add(&source.Fault{At: l.At.Key("seller"), Field: "lot " + l.ID + ": seller", Warning: true, What: fmt.Sprintf("%q counts as another than %q", l.Seller, meant), Remedy: "write " + meant + " if they are one"})
		}
		if len(known) < mostSellers {
			known = append(known, l.Seller)
		}
	}
}

// tell keeps where something stands, where there are defaults.
func (r *reader) tell(what string, n input.Node) {
	if r.book != nil && n.Given() {
		r.book.used.Figures = append(r.book.used.Figures, Figure{what, n.Brief(), n.Origin()})
	}
}
