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
