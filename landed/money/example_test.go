package money_test

import (
	"errors"
	"fmt"
	"math/big"

	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

func ExampleParse() {
	for _, s := range []string{"4200 JPY", "1,250.50 USD", "-3.2 CAD", "1.250 EUR", "$40"} {
		a, err := money.Parse(s)
		if err != nil {
			fmt.Println("error:", err)
			continue
		}
		fmt.Println(a)
	}
	// Output:
	// 4200 JPY
	// 1250.50 USD
	// -3.20 CAD
	// error: "1.250 EUR" has 3 decimals, but EUR has 2: write 1250 EUR or 1.25 EUR
	// error: "$40" is ambiguous, 29 currencies use the sign '$': write 40 USD or 40 CAD
}

func ExampleParseIn() {
	cad := money.MustCurrency("CAD")
	fee, _ := money.ParseIn("12.50", cad)
	postage, _ := money.ParseIn("3100 JPY", cad)
	fmt.Println(fee, "and", postage)
	// Output: 12.50 CAD and 3100 JPY
}

// What was paid for three planes is shared by what each would bring.
func ExampleApportion() {
	paid := int64(10000) // 100.00 CAD
	worth := []int64{4500, 4500, 2000}
	cost := make([]int64, len(worth))
	if err := money.Apportion(cost, paid, worth); err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(cost)
	// A refund takes back what the charge gave.
	if err := money.Apportion(cost, -paid, worth); err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(cost)
	// Output:
	// [4091 4091 1818]
	// [-4091 -4091 -1818]
}

// Weights that are all zero have no answer: the money must not vanish.
func ExampleApportion_noWeight() {
	err := money.Apportion(make([]int64, 2), 100, []int64{0, 0})
	fmt.Println(errors.Is(err, money.ErrNoWeight), err)
	// Output: true nothing to share by: every weight is zero
}

// Weights that are products, say of grams and a price, may outgrow 64 bits.
func ExampleApportionBig() {
	trillion := big.NewInt(1e12)
	weights := []*big.Int{
		new(big.Int).Mul(trillion, big.NewInt(2e12)),
		new(big.Int).Mul(trillion, big.NewInt(3e12)),
	}
	shares := make([]int64, len(weights))
	err := money.ApportionBig(shares, 4200, weights)
	fmt.Println(shares, err)
	// Output: [1680 2520] <nil>
}

func ExampleEqual() {
	large, small, larger, err := money.Equal(10000, 3) // 100.00 CAD over three chisels
	fmt.Println(larger, "at", large, "and the others at", small, err)
	// Output: 1 at 3334 and the others at 3333 <nil>
}

// 10,000 yen in euro, at 171.94 yen to the euro (reference rate of the European
// Central Bank, 28 June 2024): the quotient is rounded once.
func ExampleRound() {
	yen, rate := decimal.NewFromInt(10000), decimal.RequireFromString("171.94")
	a, err := money.Round(yen, rate, money.MustCurrency("EUR"))
	fmt.Println(a, err)
	// Output: 58.16 EUR <nil>
}

func ExampleMode_Round() {
	chf, price, one := money.MustCurrency("CHF"), decimal.RequireFromString("13.675"), decimal.NewFromInt(1)
	for _, mode := range []money.Mode{money.HalfAway, money.Down} {
		a, err := mode.Round(price, one, chf)
		fmt.Println(a, err)
	}
	// Output:
	// 13.68 CHF <nil>
	// 13.67 CHF <nil>
}

func ExampleAmount_Add() {
	cad, jpy := money.MustCurrency("CAD"), money.MustCurrency("JPY")
	fmt.Println(money.New(3864, cad).Add(money.New(136, cad)))
	_, err := money.New(3864, cad).Add(money.New(4200, jpy))
	fmt.Println(err)
	// Output:
	// 40.00 CAD <nil>
	// CAD and JPY cannot be added: convert one of them first
}

func ExampleAmount_Number() {
	for _, code := range []string{"JPY", "CAD", "KWD", "CLF"} {
		fmt.Println(money.New(-5, money.MustCurrency(code)).Number(), code)
	}
	// Output:
	// -5 JPY
	// -0.05 CAD
	// -0.005 KWD
	// -0.0005 CLF
}

func ExampleAmount_Times() {
	a, err := money.New(1250, money.MustCurrency("CAD")).Times(3)
	fmt.Println(a, err)
	// Output: 37.50 CAD <nil>
}

func ExampleParseCurrency() {
	c, err := money.ParseCurrency("JPY")
	fmt.Println(c, c.Digits(), err)
	_, err = money.ParseCurrency("YEN")
	fmt.Println(err)
	// Output:
	// JPY 0 <nil>
	// currency "YEN" is not an ISO 4217 code: did you mean JPY?
}

func ExampleParsePercent() {
	f, err := money.ParsePercent("12.5%")
	fmt.Println(f, money.FormatPercent(f), err)
	_, err = money.ParsePercent("12,5%")
	fmt.Println(err)
	// Output:
	// 0.125 12.5% <nil>
	// "12,5%" has a comma: write 12.5%
}
