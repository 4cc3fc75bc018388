// Package collect gathers what is wrong with the input instead of stopping at the first.
package collect

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"

	"lotcost/landed/source"
)

// Report collects faults, and warnings apart from them. The zero value is ready
// for use.
type Report struct {
	faults, warnings source.Faults
	more             int
}

// rest is how many faults a report did not keep.
type rest int

// Error says how many there are.
func (n rest) Error() string { return fmt.Sprintf("and %d more", int(n)) }

// Add records a fault, or a warning, and returns it; warnings beyond [source.MaxFaults] are
// dropped.
func (r *Report) Add(f *source.Fault) *source.Fault {
	n, isRest := f.Err.(rest)
	switch {
	case isRest:
		r.more += int(n)
	case f.Warning && len(r.warnings) < source.MaxFaults:
		r.warnings = append(r.warnings, f)
	case f.Warning:
	case len(r.faults) == source.MaxFaults:
		r.more++
	default:
		r.faults = append(r.faults, f)
	}
	return f
}

// Fail records a fault, and returns it for what else is to be told of it.
func (r *Report) Fail(at source.Origin, field, what, remedy string) *source.Fault {
	return r.Add(&source.Fault{At: at, Field: field, What: what, Remedy: remedy})
}

// NoID is the cause of a fault made by [Report.NoSuch]: the id.
type NoID string

// Error says that nothing has the id.
func (id NoID) Error() string { return fmt.Sprintf("nothing has the id %q", string(id)) }

// NoSuch records that none of a kind, such as "lot", has an id by which one is named, and returns
// the fault. Of those known, one that is taken, being named there too, is meant only where no other
// is like it.
func (r *Report) NoSuch(at source.Origin, field, kind, id string, known []string, taken ...string) *source.Fault {
	return r.Add(&source.Fault{At: at, Field: field, What: fmt.Sprintf("no %s has the id %q", kind, id), Remedy: source.DidYouMean(id, known, taken...), Err: NoID(id)})
}

// AddAll records what another report tells.
func (r *Report) AddAll(faults source.Faults) {
	for _, f := range faults {
		r.Add(f)
	}
}

// AddErr records an error of another package as faults: itself, when it is a
// [source.Fault] or [source.Faults], or else wrapped as found at the origin and field. One that
// tells its remedy apart, by a method Parts, keeps it apart.
func (r *Report) AddErr(at source.Origin, field string, err error) {
	if err == nil {
		return
	}
	if many, is := errors.AsType[source.Faults](err); is {
		r.AddAll(many)
		return
	}
	if one, is := errors.AsType[*source.Fault](err); is {
		r.Add(one)
		return
	}
	f := Told(err)
	f.At, f.Field = at, field
	r.Add(&f)
}

// Few names the first of some things that are wrong alike, and how many more there are.
func Few(names []string) string {
	const most = 3
	if more := len(names) - most; more > 0 {
		return fmt.Sprintf("%s and %d more", strings.Join(names[:most], ", "), more)
	}
	return strings.Join(names, ", ")
}

// Told is what an error of another package says, which tells no place.
func Told(err error) source.Fault {
	f := source.Fault{What: err.Error(), Err: err}
	if parted, ok := err.(interface{ Parts() (what, remedy string) }); ok {
		f.What, f.Remedy = parted.Parts()
	}
	return f
}

// Fault is an error as a report tells it that records nothing else, by [Report.AddErr]; nil is
// none.
func Fault(at source.Origin, field string, err error) error {
	var r Report
	r.AddErr(at, field, err)
	return r.Err()
}

// Len returns how many faults were recorded, those not kept included, warnings
// not.
func (r *Report) Len() int { return len(r.faults) + r.more }

// Err returns the recorded faults, sorted by file and place, or nil when there
// are none. Where there were more than [source.MaxFaults], a last one says how many.
func (r *Report) Err() error {
	if len(r.faults) == 0 {
		return nil
	}
	sorted := inOrder(r.faults)
	if r.more > 0 {
		sorted = append(sorted, &source.Fault{What: rest(r.more).Error(), Remedy: "put these right first", Err: rest(r.more)})
	}
	return sorted
}

// All returns the recorded faults as Err does, and then the warnings; nil when there are none.
func (r *Report) All() source.Faults {
	faults, _ := errors.AsType[source.Faults](r.Err())
	return append(faults, r.Warnings()...)
}

// Warnings returns what is strange but not wrong, sorted by file and place.
func (r *Report) Warnings() source.Faults { return inOrder(r.warnings) }

func inOrder(fs source.Faults) source.Faults {
	if len(fs) == 0 {
		return nil
	}
	files := fileOrder(fs)
	return slices.SortedStableFunc(slices.Values(fs), func(a, b *source.Fault) int {
		return cmp.Or(cmp.Compare(files[a.At.File], files[b.At.File]),
			cmp.Compare(a.At.Line, b.At.Line), cmp.Compare(a.At.Column, b.At.Column))
	})
}

// fileOrder ranks files by their first fault, so that a lot file is reported
// before the table it names.
func fileOrder(fs source.Faults) map[string]int {
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
