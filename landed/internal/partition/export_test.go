package partition

// UpTo are options by which so many unlike elements are settled.
func UpTo(elements int) Options { return Options{exactUpTo: elements} }

// Proven reports whether every plan was ruled out.
func (e *NoPlanError) Proven() bool { return e.proven }

// ProblemError reports a problem that makes no sense.
type ProblemError = problemError
