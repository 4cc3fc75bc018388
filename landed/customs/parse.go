package customs

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"lotcost/landed/internal/collect"
	"lotcost/landed/internal/input"
	"lotcost/landed/internal/scrub"
	"lotcost/landed/money"
	"lotcost/landed/source"
)

// version is the version of the schema that is read.
const version = "1"

// reader holds what reading one rule file needs everywhere.
type reader struct {
	report      *collect.Report
	set         *RuleSet
	blank       Rules           // what all entries begin with
	sources     map[string]cite // without confidence
	used        map[string]bool
	authorities []string            // hosts of the authorities' own texts
	places      map[string][]string // those that have a name in the file
	entry       *Rules
	section     int // of the entry
}

// Parse reads a rule file that is in memory, checked as strictly as a lot file. The schema is
// described in rules/README.md. The error is [source.Faults]: what makes the text no document at
// all, or else every fault, with file, line, column and remedy.
func Parse(file string, data []byte) (*RuleSet, error) {
	report := &collect.Report{}
	root, err := input.ParseYAML(file, data, report)
	if err != nil {
		return nil, err
	}
	r := &reader{report: report, set: &RuleSet{}, sources: map[string]cite{}, used: map[string]bool{}, places: map[string][]string{}}
	r.file(root)
	if err := report.Err(); err != nil {
		return nil, err
	}
	return r.set, nil
}

func (r *reader) file(root input.Node) {
	m := root.Map("customs", "territory", "name", "members", "places", "subdivision", "currency", "tariff", "authorities", "sources", "entries")
	if !root.IsMap() {
		return
	}
	if v, ok := m.Require("customs", "begin the file with customs: "+version).Text(); ok && v != version {
		m.Get("customs").Fail(fmt.Sprintf("version %q of the schema is not known", v), "write customs: "+version)
	}
	b := &r.blank
	b.Territory, _ = input.Scalar(m.Require("territory", "write the ISO 3166 code, as in territory: CA"), parseCountry)
	b.Name = text(m.Require("name", "write the name of the territory"))
	b.Currency, _ = input.Scalar(m.Require("currency", "write the currency of the territory, as in currency: CAD"), money.ParseCurrency)
	b.Tariff = text(m.Require("tariff", "name the tariff in which duty rates are found"))
	b.set, b.subdivision = r.set, yes(m.Get("subdivision"))
	r.set.territory, r.set.members = b.Territory, list(m.Get("members"), parseCountry)
	m.Get("places").Entries(func(name string, _, value input.Node) { r.places[name] = list(value, parsePlace) })
	sources := m.Require("sources", "list where the figures are from, as in act: the title and its address")
	r.authorities = list(m.Get("authorities"), asIs)
	sources.Entries(func(name string, _, value input.Node) { r.sources[name] = readSource(value) })
	for _, n := range m.Require("entries", "list the dated rules, each with from").List(false) {
		r.rules(n)
	}
	sources.Entries(func(name string, key, _ input.Node) {
		if !r.used[name] && r.report.Len() == 0 {
			key.Fail(fmt.Sprintf("no figure is from %q", name), "take it out, or name it as a source")
		}
	})
	r.checkDates()
}

// readSource reads the title of a source with its address, or a map of the title and the day, month
// or year of the page.
func readSource(n input.Node) cite {
	if !n.IsMap() {
		return cite{source: text(n)}
	}
	m := n.Map("title", "dated")
	c := cite{source: text(m.Require("title", "write the title of the page and its address"))}
	if last, ok := input.Scalar(m.Require("dated", "write the day, month or year of the page, as in dated: 2018"), parseDated); ok {
		c.dated, _ = m.Get("dated").Text()
		c.last = last
	}
	return c
}

// parseDated reads a day, a month or a year and returns its last day.
func parseDated(s string) (time.Time, error) {
	for _, d := range []struct {
		layout              string
		years, months, days int
	}{{"2006", 1, 0, -1}, {"2006-01", 0, 1, -1}, {time.DateOnly, 0, 0, 0}} {
		if day, err := time.Parse(d.layout, s); err == nil && day.Year() >= 1900 {
			return day.AddDate(d.years, d.months, d.days), nil
		}
	}
	return time.Time{}, fmt.Errorf("%q is no day, month or year: write 2018-05-01, 2018-05 or 2018", s)
}

var entryKeys = []string{"from", "to", "like", "about", "published", "checked", "notes", "open", "value", "relief", "duty", "taxes", "fees", "collect", "refunds", "missing"}

// rules reads one entry. What it leaves out it has from the entry it is like.
func (r *reader) rules(n input.Node) {
	m := n.Map(entryKeys...)
	e := r.blank
	if like, ok := input.Scalar(m.Get("like"), input.ParseDate); ok {
		i := slices.IndexFunc(r.set.entries, func(o Rules) bool { return o.From.Equal(like) })
		if i < 0 {
			m.Get("like").Fail("no entry above begins on "+like.Format(time.DateOnly), "name the from of an entry above this one")
			return
		}
		e = r.set.entries[i]
	}
	e.at = n.Origin()
	e.From, _ = input.Scalar(m.Require("from", "write the first day, as in from: 2026-07-01"), input.ParseDate)
	e.To, _ = input.Scalar(m.Get("to"), input.ParseDate)
	e.About = text(m.Get("about"))
	e.Published = cmp.Or(text(m.Get("published")), e.Published)
	if e.Published == "" {
		m.Require("published", "say where the rules were published")
	}
	e.Checked, _ = input.Scalar(m.Require("checked", "write the day it was last checked, as in checked: 2026-11-25"), input.ParseDate)
	r.entry = &e
	if m.Has("open") {
		r.open(m.Get("open"))
	}
	r.sections(m)
	r.set.entries = append(r.set.entries, e)
}

// sections reads those that are given. They stand in place of those of the entry it is like.
func (r *reader) sections(m *input.Map) {
	e, inherited := r.entry, m.Has("like")
	for _, part := range []struct {
		key     string
		section int
		need    bool
		read    func(input.Node)
	}{
		{"notes", notesSection, false, r.notes},
		{"value", valueSection, true, r.values},
		{"relief", reliefSection, false, func(n input.Node) { e.relief = each(n.List(false), r.relief) }},
		{"duty", dutySection, true, func(n input.Node) { e.duty = r.duty(n) }},
		{"taxes", taxesSection, false, r.taxes},
		{"fees", feesSection, false, func(n input.Node) { e.fees = each(n.List(false), r.fee) }},
		{"collect", collectSection, false, func(n input.Node) { e.collect = each(n.List(false), r.least) }},
		{"refunds", refundsSection, false, func(n input.Node) { e.refunds = each(n.List(false), r.refund) }},
		{"missing", missingSection, false, func(n input.Node) { e.missing = each(n.List(false), r.missing) }},
	} {
		n := m.Get(part.key)
		if part.need && !inherited {
			n = m.Require(part.key, "describe it, as rules/README.md says")
		}
		if !n.Given() {
			continue
		}
		if r.section = part.section; r.section < len(e.figures) {
			e.figures[r.section] = nil
		}
		if r.section < len(e.bounds) {
			e.bounds[r.section] = nil
		}
		part.read(n)
	}
}

// say tells a figure of the section that is read.
func (r *reader) say(c cite, topic, what, text string) {
	r.entry.figures[r.section] = append(r.entry.figures[r.section], c.figure(topic, what, text))
}

// checkDates puts the entries in order and finds gaps and overlaps.
func (r *reader) checkDates() {
	entries := r.set.entries
	slices.SortStableFunc(entries, func(x, y Rules) int { return x.From.Compare(y.From) })
	for i := range entries {
		e := &entries[i]
		at := func(what, remedy string) { r.report.Add(&source.Fault{At: e.at, What: what, Remedy: remedy}) }
		if !e.To.IsZero() && e.To.Before(e.From) {
			at("the entry ends before it begins", "swap from and to")
		}
		if i == 0 {
			continue
		}
		before := &entries[i-1]
		next := before.To.AddDate(0, 0, 1)
		switch {
		case before.To.IsZero() || e.From.Before(next):
			at(fmt.Sprintf("the entry overlaps the one from %s", before.From.Format(time.DateOnly)), fmt.Sprintf("end that one with to: %s", e.From.AddDate(0, 0, -1).Format(time.DateOnly)))
		case e.From.After(next):
			at(fmt.Sprintf("no entry covers the days from %s", next.Format(time.DateOnly)), "begin this entry there, or add one between")
		}
	}
}

func parseCountry(s string) (string, error) {
	if _, part, ok := input.CutPlace(s); !ok || part != "" {
		return "", fmt.Errorf("%q is not a country code: write two capitals, as in CA", s)
	}
	return s, nil
}

func parsePlace(s string) (string, error) {
	if _, _, ok := input.CutPlace(s); !ok {
		return "", fmt.Errorf("%q is not a place: write an ISO 3166 code, as in CA-ON or DE", s)
	}
	return s, nil
}

func asIs(s string) (string, error) { return s, nil }

// text reads a scalar that is words.
func text(n input.Node) string {
	s, _ := n.Text()
	return strings.TrimSpace(s)
}

// yes reads yes or no; what is left out is no.
func yes(n input.Node) bool {
	s, ok := n.Text()
	if ok && s != "yes" && s != "no" {
		n.Fail(fmt.Sprintf("%q is neither yes nor no", s), "write yes or no")
	}
	return s == "yes"
}

// list reads a list, or one value.
func list[T any](n input.Node, parse func(string) (T, error)) []T {
	var all []T
	for _, entry := range n.List(true) {
		if v, ok := input.Scalar(entry, parse); ok {
			all = append(all, v)
		}
	}
	return all
}

// each reads the entries of a list.
func each[T any](entries []input.Node, read func(input.Node) T) []T {
	var all []T
	for _, entry := range entries {
		all = append(all, read(entry))
	}
	return all
}

// choose reads one of a list of words as its place in the list.
func choose[T ~uint8](n input.Node, what string, known []string, otherwise T) T {
	v, ok := input.Scalar(n, func(s string) (T, error) { return wordOf[T](what, s, known, 0) })
	if !ok {
		return otherwise
	}
	return v
}

// bitSet reads some of a list of words as a bit set.
func bitSet[T ~uint8](n input.Node, what string, known []string) T {
	var set T
	for _, i := range list(n, func(s string) (uint8, error) { return wordOf[uint8](what, s, known, 0) }) {
		set |= 1 << i
	}
	return set
}

// amount reads a sum in the currency of the territory, in minor units.
func (r *reader) amount(n input.Node) int64 {
	cur := r.blank.Currency
	a, ok := input.Scalar(n, money.Parse)
	switch {
	case !ok || cur == 0:
		return 0
	case a.Currency() != cur:
		n.Fail(fmt.Sprintf("%q is not in %s", a, cur), "write it in the currency of the territory")
	case a.Sign() < 0 || a.Minor() > maxMoney:
		n.Fail(fmt.Sprintf("%q is no sum for a rule", a), "write a sum of zero or more, and not absurdly large")
	default:
		return a.Minor()
	}
	return 0
}

func (r *reader) ratio(n input.Node) ratio {
	v, _ := input.Scalar(n, parseRatio)
	return v
}

// percent reads a rate that is no fraction of whole numbers.
func percent(n input.Node) ratio {
	v, ok := input.Scalar(n, parseRatio)
	if ok && v.den != perUnit {
		n.Fail(fmt.Sprintf("%q is no percentage", v), "write the rate as in 2.5 %")
	}
	return v
}

// open reads what the sources leave open, for rules to ask.
func (r *reader) open(n input.Node) {
	r.entry.open = nil
	n.Entries(func(name string, _, value input.Node) {
		r.entry.open = append(r.entry.open, question{name, text(value)})
	})
}

// notes reads what is to be said: texts, or maps of one and when it bears on a parcel.
func (r *reader) notes(n input.Node) {
	e := r.entry
	e.Notes, e.bears = nil, nil
	for _, entry := range n.List(true) {
		var note Note
		var bears when
		if !entry.IsMap() {
			note.Text = text(entry)
		} else {
			m := entry.Map("note", "caution", "when")
			note, bears = Note{Text: text(m.Get("note")), Caution: m.Has("caution")}, r.when(m.Get("when"))
			if note.Caution {
				note.Text = text(m.Get("caution"))
			}
			if note.Caution == m.Has("note") {
				m.Fail("there is not one text", "write note: or caution: and the text")
			}
		}
		e.Notes, e.bears = append(e.Notes, note), append(e.bears, bears)
	}
}

// cite reads where a figure is from. What is published is of an authority's own pages, where the
// file names their hosts.
func (r *reader) cite(m *input.Map) cite {
	var c cite
	n := m.Require("source", "name one of sources")
	if name, ok := n.Text(); ok {
		known := false
		if c, known = r.sources[name]; !known {
			n.Fail(fmt.Sprintf("%q is not among the sources", name), source.DidYouMean(name, slices.Sorted(maps.Keys(r.sources))))
		}
		r.used[name] = true
	}
	n = m.Require("confidence", "write published, if the figure was read in the authority's own text, reported, if elsewhere, or memory")
	c.confidence = choose(n, "confidence", confidenceNames[:given], Memory)
	if c.confidence == Published && len(r.authorities) > 0 && c.source != "" && !r.authoritative(c.source) {
		n.Fail("the source is not one of the authorities' own pages", "write confidence: reported, or name the host of the page under authorities")
	}
	return c
}

var addressPattern = scrub.Pattern(`https?://([^/\s;,]+)`)

// authoritative reports whether each address in the title of a source is of an authority, and there
// is one.
func (r *reader) authoritative(title string) bool {
	addresses := addressPattern().FindAllStringSubmatch(title, -1)
	return len(addresses) > 0 && !slices.ContainsFunc(addresses, func(a []string) bool {
		return !slices.ContainsFunc(r.authorities, func(host string) bool { return a[1] == host || strings.HasSuffix(a[1], "."+host) })
	})
}

// withCite adds the keys of a citation.
func withCite(keys ...string) []string { return append(keys, "source", "confidence") }
