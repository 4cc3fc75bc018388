package money

import (
	"fmt"
	"math"
	"strings"
	"sync"
)

// Currency is a currency of ISO 4217. The zero value is no currency.
// Currencies are comparable with ==.
type Currency uint8

// isoDigits lists the codes of ISO 4217 by their number of minor-unit digits:
// list one (current currencies and funds) as of 1 January 2026, without the
// codes that have no minor unit (metals, bond units, testing). The codes that
// are not 2 follow the generated table of a browser engine made from the ISO
// list of that day; XPF is from memory. BGN, HRK and ANG left the list lately
// and stay here so that older hauls still read.
var isoDigits = [...]struct {
	digits uint8
	codes  string
}{
	{0, "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF"},
	{2, "AED AFN ALL AMD ANG AOA ARS AUD AWG AZN BAM BBD BDT BGN BMD BND BOB BOV BRL BSD BTN BWP BYN BZD " +
		"CAD CDF CHE CHF CHW CNY COP COU CRC CUP CVE CZK DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS " +
		"GIP GMD GTQ GYD HKD HNL HRK HTG HUF IDR ILS INR IRR JMD KES KGS KHR KPW KYD KZT LAK LBP LKR LRD " +
		"LSL MAD MDL MGA MKD MMK MNT MOP MRU MUR MVR MWK MXN MXV MYR MZN NAD NGN NIO NOK NPR NZD PAB PEN " +
		"PGK PHP PKR PLN QAR RON RSD RUB SAR SBD SCR SDG SEK SGD SHP SLE SOS SRD SSP STN SVC SYP SZL THB " +
		"TJS TMT TOP TRY TTD TWD TZS UAH USD USN UYU UZS VED VES WST XAD XCD XCG YER ZAR ZMW ZWG"},
	{3, "BHD IQD JOD KWD LYD OMR TND"},
	{4, "CLF UYW"},
}

const codeLen = len("XXX")

// listed are the currencies by their places, counted from 1, in isoDigits.
var listed = func() (all [math.MaxUint8 + 1]struct {
	code   string
	digits int
}) {
	n := 0
	for _, row := range isoDigits {
		for code := range strings.FieldsSeq(row.codes) {
			n++
			all[n].code, all[n].digits = code, int(row.digits)
		}
	}
	return all
}()

// Code returns the three-letter code, or "" for no currency.
func (c Currency) Code() string { return listed[c].code }

// Digits returns how many decimals the minor unit has by ISO 4217: 2 for CAD,
// 0 for JPY, 3 for KWD.
func (c Currency) Digits() int { return listed[c].digits }

// String returns the code.
func (c Currency) String() string { return c.Code() }

// Currencies lists every currency this package knows, by minor-unit digits and
// then by code.
func Currencies() []Currency {
	var all []Currency
	for c := Currency(1); ; c++ {
		if c.Code() == "" {
			return all
		}
		all = append(all, c)
	}
}

// ParseCurrency finds the currency of a three-letter code, in capitals or small
// letters. For anything else the error says which code may be meant.
func ParseCurrency(code string) (Currency, error) {
	c := ofCapitals(code)
	if c == 0 && len(code) == codeLen {
		c = ofCapitals(strings.ToUpper(code))
	}
	if c == 0 {
		return 0, &unknownCurrencyError{code, nearestCode(code)}
	}
	return c, nil
}

// ofCapitals finds the currency of a code in capitals; none where there is none.
func ofCapitals(code string) Currency {
	if len(code) != codeLen {
		return 0
	}
	place := 0
	for i := range codeLen {
		letter := code[i] - 'A'
		if letter >= letters {
			return 0
		}
		place = place*letters + int(letter)
	}
	return byCode()[place]
}

const letters = 'Z' - 'A' + 1

// byCode are the currencies by the three letters of their codes, each counted from A.
var byCode = sync.OnceValue(func() *[letters * letters * letters]Currency {
	var all [letters * letters * letters]Currency
	for _, c := range Currencies() {
		code := c.Code()
		all[(int(code[0]-'A')*letters+int(code[1]-'A'))*letters+int(code[2]-'A')] = c
	}
	return &all
})

// MustCurrency is [ParseCurrency] for codes fixed in a program: it panics
// where ParseCurrency returns an error.
func MustCurrency(code string) Currency {
	c, err := ParseCurrency(code)
	if err != nil {
		panic(err)
	}
	return c
}

// unknownCurrencyError tells that a code is none of ISO 4217.
type unknownCurrencyError struct {
	code    string // as given
	nearest string // a known code that was perhaps meant, or ""
}

// Error quotes the code and says which may have been meant.
func (e *unknownCurrencyError) Error() string {
	if e.nearest != "" {
		return fmt.Sprintf("currency %q is not an ISO 4217 code: did you mean %s?", e.code, e.nearest)
	}
	return fmt.Sprintf("currency %q is not an ISO 4217 code: write its three capitals, as in CAD or JPY", e.code)
}

// nearestCode guesses what was meant by a wrong code: the same letters in
// capitals, a code people use that is not ISO's, two letters that changed
// places, or one letter off.
func nearestCode(code string) string {
	up := strings.ToUpper(strings.TrimSpace(code))
	if spoken := map[string]string{"YEN": "JPY", "YN": "JPY", "RMB": "CNY", "CNH": "CNY", "STG": "GBP", "UKP": "GBP",
		"EURO": "EUR", "NTD": "TWD", "CDN": "CAD", "C$": "CAD", "US$": "USD", "A$": "AUD", "SFR": "CHF"}[up]; spoken != "" {
		return spoken
	}
	if len(up) != codeLen {
		return ""
	}
	best, bestOff := "", 3
	for _, c := range Currencies() {
		if off := lettersOff(up, c.Code()); off < bestOff {
			best, bestOff = c.Code(), off
		}
	}
	return best
}

// lettersOff counts the places in which two codes differ, each twice, or once where two letters
// changed places.
func lettersOff(a, b string) int {
	off := 0
	if a[:2] == string([]byte{b[1], b[0]}) && a[2] == b[2] || a[1:] == string([]byte{b[2], b[1]}) && a[0] == b[0] {
		return 1
	}
	for i := range codeLen {
		if a[i] != b[i] {
			off += 2
		}
	}
	return off
}
