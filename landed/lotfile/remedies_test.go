package lotfile_test

import (
	"errors"
	"strings"
	"testing"

	"lotcost/landed/lotfile"
	"lotcost/landed/money"
	"lotcost/landed/source"
)

// What is missing is said in the file's own words once, however often it is asked.
func TestExplain(t *testing.T) {
	for _, c := range []struct {
		fault source.Fault
		want  string
	}{
		{source.Fault{What: "no weight", Remedy: "write it", Figure: "weight"}, "no weight: write it, as in weight: 1.9 kg"},
		{source.Fault{What: "no value", Remedy: "write it", Or: "share by count", Figure: "value CAD"}, "no value: write it, as in value: 38 CAD, or share by count"},
		{source.Fault{What: "nothing", Remedy: "write this", Or: "that", Figure: "found"}, "nothing: write this, as in found: {sound: 2}, or that, as in sold: [41 CAD]"},
		{source.Fault{What: "odd", Remedy: "mend it", Or: "leave it"}, "odd: mend it, or leave it"},
		{source.Fault{What: "odd", Remedy: "mend it", Figure: "nothing of a file"}, "odd: mend it"},
	} {
		before := c.fault
		for _, err := range []error{source.Faults{&c.fault}, &c.fault} {
			once := lotfile.Explain(err, lotfile.Examples{})
			if got := lotfile.Explain(once, lotfile.Examples{}).Error(); got != c.want || once.Error() != c.want || c.fault != before {
				t.Errorf("got %s, want %s", got, c.want)
			}
		}
	}
	if plain := errors.New("plain"); lotfile.Explain(plain, lotfile.Examples{}) != plain || lotfile.Explain(nil, lotfile.Examples{}) != nil {
		t.Error("what is no fault is left as it is")
	}
}

// TestExamplesAtHand: what a remedy shows is in the currencies of the file.
func TestExamplesAtHand(t *testing.T) {
	const file = "lotcost: 1\nhome: EUR\nfrom: GB\nto: DE\nexchange: {rates: [1 GBP = 1.14 EUR]}\nlots:\n" +
		"  - {id: a, price: 40 GBP, items: [{id: x, weight: 1 kg, value: 30}]}\n"
	for _, c := range []struct{ more, want string }{
		{"  - {id: b, items: [{id: y, weight: 1 kg, value: 30}]}\n", "as in price: 42 GBP (0 if it came free)"},
		{"  - {id: b, price: x, items: [{id: y, weight: 1 kg, value: 30}]}\n", "as in 42 GBP"},
		{"  - {id: b, price: 40 GBP, items: [{id: y, weight: 1 kg, value: 30, sold: [{date: 2026-11-01}]}]}\n", "as in price: 46 EUR"},
		{"  - {id: b, price: 40 GBP, items: [{id: y, weight: 1 kg, value: 50..30}]}\n", "as in value: 30..50 EUR"},
		{"charges: [{what: parcel}]\n", "as in amount: 74 GBP, or amount: 1.5% of price"},
	} {
		_, err := lotfile.Parse("haul.yaml", []byte(file+c.more), ".", lotfile.Options{})
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %s", c.more, err, c.want)
		}
	}
	// Of yen at home too: what the lots are in stands for nothing of it.
	yen := lotfile.Examples{Home: money.MustCurrency("JPY"), Lots: money.MustCurrency("USD")}
	if got := lotfile.Explain(&source.Fault{What: "no value", Remedy: "write it", Figure: "value JPY"}, yen).Error(); got != "no value: write it, as in value: 3800 JPY" {
		t.Error(got)
	}
	for _, c := range []struct {
		as   lotfile.Examples
		want string
	}{
		{lotfile.Examples{}, "as in price: 4200 JPY (0 if it came free)"},
		{lotfile.Examples{Home: money.MustCurrency("CAD"), Lots: money.MustCurrency("KRW")}, "as in price: 4200 KRW (0 if it came free)"},
	} {
		if got := lotfile.Explain(&source.Fault{What: "odd", Remedy: "mend it", Figure: "price"}, c.as).Error(); !strings.Contains(got, c.want) {
			t.Errorf("%s, want %s", got, c.want)
		}
	}
}
