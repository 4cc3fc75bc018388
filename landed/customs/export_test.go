package customs

import (
	"fmt"
	"strings"

	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

// Cautions are the short warnings that apply to some parcels.
var Cautions = cautions

// Margin is the threshold less the measure.
func (r Relief) Margin() money.Amount {
	return money.New(r.Threshold.Minor()-r.Measure.Minor(), r.Threshold.Currency())
}

// Entries are those of the set, by date, of the territory named.
func (s *RuleSet) Entries() []Rules { return s.entries }

// Shipped are the rule sets that come with the program.
func Shipped() []*RuleSet {
	var sets []*RuleSet
	for _, s := range shipped() {
		sets = append(sets, s.rules())
	}
	return sets
}

// Open are the names of what the sources leave open, each with what it says.
func (r *Rules) Open() (open [][2]string) {
	for _, q := range r.open {
		open = append(open, [2]string{q.name, q.cond})
	}
	return open
}

// ShippedFor are where the rules of those sets are said to hold before they are read, and where
// they then do.
func ShippedFor() (said, are []string) {
	for _, s := range shipped() {
		said, are = append(said, fmt.Sprint(s.lands)), append(are, fmt.Sprint(s.rules().lands))
	}
	return said, are
}

// Given is the confidence in what the caller brings.
const Given = given

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
