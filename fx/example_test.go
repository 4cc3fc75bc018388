package fx_test

import (
	"fmt"
	"os"
	"strings"
	"time"

	"lotcost/fx"

	"github.com/shopspring/decimal"
)

// rates are two days of the reference rates of the European Central Bank, cut to three currencies.
const rates = `Date,USD,JPY,CAD,
2025-05-02,1.1343,163.93,1.5675,
2025-04-30,1.1373,162.68,1.5728,
`

func Example() {
	on := time.Date(2025, time.May, 1, 0, 0, 0, 0, time.UTC) // a holiday: nothing is published
	table, err := fx.ReadTable(strings.NewReader(rates), fx.Window{On: on, Name: "rates.csv"})
	if err != nil {
		fmt.Println(err)
		return
	}
	stated, err := fx.ParseEquation("1 USD = 1.36 CAD")
	if err != nil {
		fmt.Println(err)
		return
	}
	market, err := fx.NewMarket([]fx.Equation{stated}, table, on)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, from := range []fx.Code{"USD", "JPY"} {
		rate, err := market.Rate(from, "CAD")
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Println(strings.Join(rate.Steps(), "\n"))
	}
	// Output:
	// stated: 1 USD = 1.36 CAD
	// 1 USD = 1.36 CAD
	// wanted for 2025-05-01: the last day up to it that quotes JPY and CAD is 2025-04-30
	// rates.csv, 2025-04-30: 1 EUR = 162.68 JPY
	// rates.csv, 2025-04-30: 1 EUR = 1.5728 CAD
	// through EUR: 1 JPY = 1.5728 / 162.68 CAD
}

func ExampleParseEquation() {
	_, err := fx.ParseEquation("100 JPY = 0,93 CAD")
	fmt.Println(err)
	// Output:
	// equation "100 JPY = 0,93 CAD": "0,93" has a comma, but an amount has a decimal point and no thousands separators: write it like "100 JPY = 0.93 CAD"
}

func ExampleRate_Spread() {
	stated, _ := fx.ParseEquation("100 JPY = 0.93 CAD")
	market, _ := fx.NewMarket([]fx.Equation{stated}, nil, time.Date(2026, time.October, 3, 0, 0, 0, 0, time.UTC))
	rate, _ := market.Rate("JPY", "CAD")
	fmt.Println(rate.Spread(decimal.RequireFromString("0.025")))
	// Output:
	// 1 JPY = 0.95325 / 100 CAD
}

func ExampleSummarize() {
	f, err := os.Open("../testdata/rates/fixed.csv")
	if err != nil {
		fmt.Println(err)
		return
	}
	defer f.Close()
	sum, err := fx.Summarize(f)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(len(sum.Days), "days,", len(sum.Currencies), "currencies")
	for _, l := range sum.Currencies {
		if l.Code == "SIT" {
			fmt.Println(l.Code, "from", l.First.Format(time.DateOnly))
		}
	}
	// Output:
	// 3 days, 13 currencies
	// SIT from 2007-01-01
}
