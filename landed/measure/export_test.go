package measure

// ParseError is what every reader of text returns.
type ParseError = parseError

// Unread is the error of a text with nothing said of it.
func Unread(text string) error { return &parseError{input: text} }

// Input is the text that was given, Reason what is wrong with it, and Remedy what would put it
// right.
func (e *parseError) Input() string  { return e.input }
func (e *parseError) Reason() string { return e.reason }
func (e *parseError) Remedy() string { return e.remedy }

// PlainWeight and PlainLength read what is written as most are, and SlowWeight and SlowLength what
// is written in any way.
func PlainWeight(s string) (int64, bool) { return weights.plain(s) }
func PlainLength(s string) (int64, bool) { return lengths.plain(s) }
func SlowWeight(s string) (int64, bool)  { v, f := weights.read(s); return v, f == nil }
func SlowLength(s string) (int64, bool)  { v, f := lengths.read(s); return v, f == nil }
