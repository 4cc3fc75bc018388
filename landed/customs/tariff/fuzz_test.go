package tariff_test

import (
	"bytes"
	"os"
	"testing"

	"lotcost/landed/customs/tariff"
	"lotcost/landed/money"
)

// Whatever a file holds, it is read or refused, and a rate is one that a class can have.
func FuzzRead(f *testing.F) {
	for _, path := range []string{us, uk, xi, swine, corn} {
		data, err := os.ReadFile(path)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data, "8205300000", "JP", true)
		f.Add(data, "8205.59.55.60", "", false)
	}
	f.Fuzz(func(t *testing.T, data []byte, code, origin string, proof bool) {
		lines, unknown, err := tariff.Read(bytes.NewReader(data), code)
		if _, counts := tariff.Count(bytes.NewReader(data)); (counts == nil) != (err == nil) {
			t.Fatal("one way it can be read, the other not:", err, counts)
		}
		if _, _, finds := tariff.Find(bytes.NewReader(data), "plane", 3); (finds == nil) != (err == nil) {
			t.Fatal("one way it can be read, the other not:", err, finds)
		}
		if err != nil || unknown[0] != nil {
			return
		}
		g := tariff.Goods{Origin: origin, Proof: proof, Currency: money.MustCurrency("USD")}
		d, err := lines[0].Duty(g)
		if err == nil && (d.Rate == nil || d.Rate.Fraction.Sign() < 0 || d.Rate.PerKilogram.Sign() < 0 || d.Rate.PerPiece.Sign() < 0) {
			t.Fatal("no rate, or a negative one")
		}
		if err == nil {
			lines[0].Also(g, d)
		}
		lines[0].Named(tariff.Goods{})
		lines[0].Path()
	})
}

// A whole schedule has some 35,000 rows.
func BenchmarkRead(b *testing.B) {
	data, err := os.ReadFile(us)
	if err != nil {
		b.Fatal(err)
	}
	rows := bytes.TrimSpace(data)
	rows = rows[1 : len(rows)-1]
	whole := append([]byte("["), bytes.Repeat(append(rows, ','), 1000)...)
	whole = append(whole, append(rows, ']')...)
	b.SetBytes(int64(len(whole)))
	for b.Loop() {
		if _, _, err := tariff.Read(bytes.NewReader(whole), "9101.11.40"); err != nil {
			b.Fatal(err)
		}
	}
}
