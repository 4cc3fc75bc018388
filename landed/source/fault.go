package source

import (
	"errors"
	"strings"
)

// Fault is one thing wrong with the input: where, which field in the user's
// own words, what is wrong, and what would put it right.
type Fault struct {
	At     Origin // where it was typed; zero where it was not
	Field  string // "lot crate-a: item jack: weight"; may be empty
	What   string // what is wrong, as part of a sentence
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

// FaultsIn are the faults in an error; of one that holds none, one that says it, of no place.
func FaultsIn(err error) Faults {
	if faults, are := errors.AsType[Faults](err); are {
		return faults
	}
	return Faults{{What: err.Error(), Err: err}}
}

// MaxFaults is how many faults are told at once, and after them how many more there are: a list
// with the wrong separator is wrong in every line, and nobody reads on.
const MaxFaults = 1000
