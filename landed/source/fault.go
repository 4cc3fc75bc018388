package source

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"
)

// Fault is one thing wrong with the input: where, which field in the user's
// own words, what is wrong, and what would put it right.
type Fault struct {
	At     Origin
	Field  string // "lot crate-a: item jack: weight"; may be empty
	What   string
	Remedy string // may be empty when What already says it
	Or     string // what else would put it right; may be empty
	// Figure is the figure that has to be given, by its name, such as "weight", for whoever knows
	// how to write one; where a currency or the like belongs to it, that follows: "value CAD". It
	// may be empty.
	Figure string
	// Asked names what was asked of a package beside the input, such as "venue", where it is that
	// which cannot be; else it is empty.
	Asked string
	Err   error // the cause, where another package found it; may be nil

	Warning bool // only strange: the input is taken as it stands
}

// Error says where, whether it is but a warning, the field, what is wrong and the remedy, as far as
// each is known.
func (f *Fault) Error() string {
	var b strings.Builder
	warning := ""
	if f.Warning {
		warning = "warning"
	}
	remedy := f.Remedy
	if f.Or != "" {
		remedy += ", or " + f.Or
	}
	for _, part := range []string{f.At.String(), warning, f.Field, f.What, remedy} {
		if part == "" {
			continue
		}
		if b.Len() > 0 {
			b.WriteString(": ")
		}
		b.WriteString(part)
	}
	return b.String()
}

// Unwrap returns the cause.
func (f *Fault) Unwrap() error { return f.Err }

// Faults are all that is wrong with the input, in the order of the text. Use
// errors.As to get at them or at one [*Fault].
type Faults []*Fault

// Error is one line for each fault.
func (fs Faults) Error() string {
	lines := make([]string, len(fs))
	for i, f := range fs {
		lines[i] = f.Error()
	}
	return strings.Join(lines, "\n")
}

// Unwrap returns the single faults.
func (fs Faults) Unwrap() []error {
	errs := make([]error, len(fs))
	for i, f := range fs {
		errs[i] = f
	}
	return errs
}

// MaxFaults is how many faults a [Report] keeps. It counts the rest: a list
// with the wrong separator is wrong in every line, and nobody reads on.
const MaxFaults = 1000

// Report collects faults, and warnings apart from them. The zero value is ready
// for use.
type Report struct {
	faults, warnings Faults
	more             int
}

// Add records a fault, or a warning, and returns it; warnings beyond [MaxFaults] are dropped.
func (r *Report) Add(f *Fault) *Fault {
	switch {
	case f.Warning && len(r.warnings) < MaxFaults:
		r.warnings = append(r.warnings, f)
	case f.Warning:
	case len(r.faults) == MaxFaults:
		r.more++
	default:
		r.faults = append(r.faults, f)
	}
	return f
}

// AddErr records an error of another package as faults: itself, when it is a
// [Fault] or [Faults], or else wrapped as found at the origin and field. One that
// tells its remedy apart, by a method Parts, keeps it apart.
func (r *Report) AddErr(at Origin, field string, err error) {
	if err == nil {
		return
	}
	if many, is := errors.AsType[Faults](err); is {
		for _, f := range many {
			r.Add(f)
		}
		return
	}
	if one, is := errors.AsType[*Fault](err); is {
		r.Add(one)
		return
	}
	f := &Fault{At: at, Field: field, What: err.Error(), Err: err}
	if parted, ok := err.(interface{ Parts() (what, remedy string) }); ok {
		f.What, f.Remedy = parted.Parts()
	}
	r.Add(f)
}

// Len returns how many faults were recorded, those not kept included, warnings
// not.
func (r *Report) Len() int { return len(r.faults) + r.more }

// Err returns the recorded faults, sorted by file and place, or nil when there
// are none. Where there were more than [MaxFaults], a last one says how many.
func (r *Report) Err() error {
	if len(r.faults) == 0 {
		return nil
	}
	sorted := inOrder(r.faults)
	if r.more > 0 {
		sorted = append(sorted, &Fault{What: fmt.Sprintf("and %d more", r.more), Remedy: "put these right first"})
	}
	return sorted
}

// Warnings returns what is strange but not wrong, sorted by file and place.
func (r *Report) Warnings() Faults { return inOrder(r.warnings) }

func inOrder(fs Faults) Faults {
	files := fileOrder(fs)
	return slices.SortedStableFunc(slices.Values(fs), func(a, b *Fault) int {
		return cmp.Or(cmp.Compare(files[a.At.File], files[b.At.File]),
			cmp.Compare(a.At.Line, b.At.Line), cmp.Compare(a.At.Column, b.At.Column))
	})
}

// fileOrder ranks files by their first fault, so that a lot file is reported
// before the table it names.
func fileOrder(fs Faults) map[string]int {
	order := map[string]int{}
	for _, f := range fs {
		if _, seen := order[f.At.File]; !seen {
			order[f.At.File] = len(order)
		}
	}
	return order
}

// Unjoin takes apart what errors.Join put together: the single errors, or the
// one, or none.
func Unjoin(err error) []error {
	var joined interface{ Unwrap() []error }
	switch {
	case err == nil:
		return nil
	case errors.As(err, &joined):
		return joined.Unwrap()
	}
	return []error{err}
}
