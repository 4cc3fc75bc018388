package measure

// Unread is the error of a text with nothing said of it.
func Unread(text string) error { return &ParseError{input: text} }

// Input is the text that was given, Reason what is wrong with it, and Remedy what would put it
// right.
func (e *ParseError) Input() string  { return e.input }
func (e *ParseError) Reason() string { return e.reason }
func (e *ParseError) Remedy() string { return e.remedy }
