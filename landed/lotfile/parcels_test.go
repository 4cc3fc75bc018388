package lotfile_test

import (
	"fmt"
	"strings"
	"testing"

	"lotcost/landed"
	"lotcost/landed/lotfile"
	"lotcost/landed/money"
	"lotcost/landed/source"
)

// boxed is a lot file of two lots in two parcels, with charges and parcels as
// given.
func boxed(charges, one, two string) string {
	return `lotcost: 1
home: CAD
lots:
  - {id: planes, price: 10, items: [{id: jack, weight: 1 kg, value: 5}]}
  - {id: chisels, price: 10, items: [{id: mortise, weight: 1 kg, value: 5}]}
charges:
  - ` + charges + `
parcels:
  - {id: box-1, lots: [planes]` + one + `}
  - {id: box-2, lots: [chisels]` + two + `}
`
}

// TestTwice: freight of all parcels beside that of one is reported with both
// lines, and taken as it stands.
func TestTwice(t *testing.T) {
	for _, c := range []struct{ charge, one, two, want string }{
		{"{what: Surface, kind: freight, amount: 30}", ", freight: 20", ", freight: 0",
			`haul.yaml:7:44: warning: charge "Surface": this freight is of all parcels, and stands beside that of parcel box-1 (line 9): both count: keep one of them, if they are the same`},
		{"{what: Surface, kind: freight, settled: 30, per: parcel}", "", ", freight: 12",
			`haul.yaml:7:5: warning: charge "Surface": this freight is of all parcels, and stands beside that of parcel box-2 (line 10): both count: keep one of them, if they are the same`},
		{"{kind: insurance, amount: 1% of price}", ", insurance: 2", ", insurance: 3",
			`haul.yaml:7:31: warning: charge "insurance": this insurance is of all parcels, and stands beside that of parcel box-1 (line 9) and parcel box-2 (line 10): both count: keep one of them, if they are the same`},
		{"{kind: freight, amount: 30, on: [planes]}", ", freight: 20", "", ""},  // to the forwarder
		{"{kind: freight, amount: -30}", ", freight: 20", "", ""},               // a refund
		{"{kind: freight, amount: 30, per: lot}", ", freight: 20", "", ""},      // from each sale room
		{"{kind: insurance, amount: 30}", ", freight: 20", ", freight: 30", ""}, // another kind
		{"{kind: fee, amount: 30}", ", fees: 20", ", fees: 30", ""},             // the bank's, and the forwarder's
	} {
		var got []string
		_, err := lotfile.Parse("haul.yaml", []byte(boxed(c.charge, c.one, c.two)), t.TempDir(),
			lotfile.Options{Warn: func(f *source.Fault) { got = append(got, f.Error()) }})
		if err != nil {
			t.Errorf("%s: %v", c.charge, err)
		}
		if strings.Join(got, "\n") != c.want {
			t.Errorf("%s: got\n%s\nwant\n%s", c.charge, strings.Join(got, "\n"), c.want)
		}
	}
}

// TestLotsOfParcel: what is no list of lots is told once, with what to write, which then is right.
func TestLotsOfParcel(t *testing.T) {
	const what = "haul.yaml:7:11: parcel box: lots: a list of lots belongs here: write "
	const plain = what + "their ids in brackets, as in lots: [crate-a, box-b]"
	for _, c := range []struct{ lots, want string }{
		{"{x: 1}", plain}, {"{}", plain}, {"{crate-a: , box-b: }", plain}, {"[{id: crate-a}, {id: box-b}]", plain}, {"[crate-a, [box-b]]", plain},
		{"[[crate-a, box-b]]", what + "lots: [crate-a, box-b]"},
		{"{crate-a, box-b}", what + "lots: [crate-a, box-b]"},
		{"[]", "haul.yaml:7:11: parcel box: the parcel holds no lots: list them, as in lots: [crate-a]"},
		{"7", `haul.yaml:7:11: parcel box: no lot has the id "7": known here: crate-a, box-b`},
		{"[crate-a, box-b]", "<nil>"},
	} {
		text := "lotcost: 1\nhome: CAD\nlots:\n  - {id: crate-a, price: 10, items: [{id: a, value: 5}]}\n  - {id: box-b, price: 10, items: [{id: b, value: 5}]}\n" +
			"parcels: [{id: box,\n    lots: " + c.lots + "\n  }]\n"
		if _, err := lotfile.Parse("haul.yaml", []byte(text), t.TempDir(), lotfile.Options{}); fmt.Sprint(err) != c.want {
			t.Errorf("%s: got\n%v\nwant\n%s", c.lots, err, c.want)
		}
	}
}

// TestParcelBill: what was settled and what was really asked for one parcel.
func TestParcelBill(t *testing.T) {
	h := parse(t, boxed("{amount: 1}", ", freight: 900 JPY, settled: {freight: 8.61, insurance: 1 CAD, fees: 0}, assessed: {duty: 4, fee: 950 JPY}", ""))
	p := &h.Parcels[0]
	sum := func(minor int64) money.Amount { return money.New(minor, cad) }
	if want := (landed.Carriage{Freight: sum(861), Insurance: sum(100), Fees: sum(0)}); p.Settled != want {
		t.Errorf("settled %v", p.Settled)
	}
	if want := (landed.Bill{Duty: sum(400), Fee: money.New(950, jpy)}); p.Bill != want {
		t.Errorf("bill %v", p.Bill)
	}
	_, err := lotfile.Parse("haul.yaml", []byte(boxed("{amount: 1}", ", settled: {freight: 9 USD, insurance: 71.48 JPY, fee: 3}, assessed: {tax: -4}", "")), t.TempDir(), lotfile.Options{})
	const want = `haul.yaml:9:52: parcel box-1: settled: freight: settled is in USD, but home is CAD: write what the bank took, in CAD
haul.yaml:9:70: parcel box-1: settled: insurance: settled is in JPY, but home is CAD: write what the bank took, in CAD
haul.yaml:9:81: parcel box-1: settled: unknown key "fee": did you mean fees?
haul.yaml:9:106: parcel box-1: assessed: tax: this cannot be negative: write a refund as a charge with a negative amount`
	if err == nil || err.Error() != want {
		t.Errorf("got\n%v", err)
	}
}

// Where more was given back of one item than was asked for it, the refund that takes the most says
// how it is taken off; written so, customs counts what stood there before it.
func TestFreightBelowNothing(t *testing.T) {
	const haul = "lotcost: 1\nhome: CAD\ndate: 2026-10-03\nfrom: JP\nto: DE\nexchange: {rates: [1 EUR = 1.6 CAD]}\nlots: [{id: a, price: 90, items: [{id: jack, weight: 1 kg, value: 9}, {id: bull, weight: 3 kg, value: 9}]}]\n" +
		"customs: {use: personal, by: courier, fees: [], classes: {tool: {duty: 5%}}, class: tool}\ncharges:\n  - {what: Post, kind: freight, amount: 40 CAD}\n  - {what: Less, kind: freight, amount: -1 CAD}\n"
	for _, c := range []struct{ refund, want string }{
		{"kind: freight, amount: -10 CAD", "freight"},
		{"kind: insurance, amount: -1 CAD", "insurance"},
		{"dutiable: yes, amount: -46 CAD", "price"},
	} {
		refund := "  - {what: Back, " + c.refund + ", on: [jack]}\n"
		want := fmt.Sprintf(`haul.yaml:12:%d: charge "Back": it takes more off the %s of jack than that is, and customs counts nothing below zero: write dutiable: no beside it: it is then taken off after the border`,
			strings.Index(refund, "amount: ")+9, c.want)
		if _, err := landed.Split(parse(t, haul+refund).Haul); err == nil || err.Error() != want {
			t.Errorf("got  %v\nwant %s", err, want)
			continue
		}
		before, err := landed.Split(parse(t, haul).Haul)
		if err != nil {
			t.Fatal(err)
		}
		after := parse(t, haul+strings.Replace(strings.Replace(refund, "dutiable: yes, ", "", 1), "]}", "], dutiable: no}", 1))
		st, err := landed.Split(after.Haul)
		if back := after.Charges[2].Amount; err != nil || st.Total.Minor() != before.Total.Minor()+back.Minor() {
			t.Errorf("%s: %v, total %v, want %v and %v", c.refund, err, st, before.Total, back)
		}
	}
}
