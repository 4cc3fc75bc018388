package lotfile_test

import (
	"errors"
	"testing"

	"lotcost/landed/lotfile"
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
			once := lotfile.Explain(err, "")
			if got := lotfile.Explain(once, "").Error(); got != c.want || once.Error() != c.want || c.fault != before {
				t.Errorf("got %s, want %s", got, c.want)
			}
		}
	}
	if plain := errors.New("plain"); lotfile.Explain(plain, "") != plain || lotfile.Explain(nil, "") != nil {
		t.Error("what is no fault is left as it is")
	}
}
