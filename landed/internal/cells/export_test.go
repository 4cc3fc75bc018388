package cells

// ReadWithin reads a workbook of at most so many bytes once it is unzipped.
func ReadWithin(data []byte, most int64) error {
	if _, f := readWorkbook("l.xlsx", "", data, most); f != nil {
		return f
	}
	return nil
}
