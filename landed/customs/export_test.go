package customs

import (
	"strings"

	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

// Cautions are the short warnings that apply to some parcels.
var Cautions = cautions

// FeeSum is what the fees of a parcel come to.
func (p *ParcelAssessment) FeeSum() money.Amount { return money.New(p.feeSum(), p.Duty.Currency()) }

// Format prints the rate as [ParseRate] reads it.
func (r Rate) Format(cur money.Currency) string {
	var parts []string
	if !r.Fraction.IsZero() {
		parts = append(parts, money.FormatPercent(r.Fraction))
	}
	for i, d := range []decimal.Decimal{r.PerKilogram, r.PerPiece} {
		if !d.IsZero() {
			parts = append(parts, d.String()+" "+cur.Code()+" "+unitWords[i])
		}
	}
	if len(parts) == 0 {
		return "free"
	}
	return strings.Join(parts, " + ")
}
