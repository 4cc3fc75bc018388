package customs

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"time"

	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/source"

	"github.com/shopspring/decimal"
)

// maxMoney bounds the money, and the pieces, in one set of consignments, so that sums of them and
// of what is charged cannot wrap.
const maxMoney = 1 << 60

// Consignments are the parcels that one person receives in one day. Reliefs that look at the
// parcels of one seller, or of the day, look at these.
type Consignments struct {
	On   time.Time // day of entry; where given, the rules must be in force
	From string    // country of dispatch, ISO 3166
	To   string    // place of entry: "CA-ON", "DE"
	Use  Use       // what they are for
	Mode Mode      // by whom they come
	// Flat is set where the rules leave a choice between a charge on the value and a flat one, and
	// the flat one was chosen.
	Flat bool
	// Holds names open questions of the rules that are answered yes.
	Holds   []string
	Classes map[string]Class // of goods, by the names that lines have
	Parcels []Parcel         // in any order
}

// Parcel is one parcel.
type Parcel struct {
	ID     string // by which it is named in errors and steps
	Seller string // parcels without a seller count as one seller's
	// Sellers, where the parcel holds goods of several, are those: it counts with the parcels
	// of each of them. No source says how such a parcel counts; so no relief is taken that may
	// be refused.
	Sellers []string
	// TaxPaid is set where the seller is registered in the territory and has charged its tax at the
	// sale.
	TaxPaid bool
	// Private is set where the seller is a private person, or not registered, and charges no tax at
	// the sale. Where neither is set, what a rule leaves to the seller counts as charged there, and
	// [Assessment.Others] tells what else it may come to.
	Private bool
	Lines   []Line // what is in it
	// Fees, when not nil, are the fees told by the carrier, in the territory's currency, with
	// any tax on them. They stand in place of those of the rules and are charged, as those are,
	// when duty or tax is due.
	Fees []Fee
}

// sellers are those whose goods the parcel holds.
func (p *Parcel) sellers() []string {
	if p.Sellers == nil {
		return []string{p.Seller}
	}
	return p.Sellers
}

// sharesSeller reports whether two parcels hold goods of one seller.
func (p *Parcel) sharesSeller(o *Parcel) bool {
	if p.Sellers == nil && o.Sellers == nil { // as most are, again and again for a planner
		return p.Seller == o.Seller
	}
	of := o.sellers()
	return slices.ContainsFunc(p.sellers(), func(seller string) bool { return slices.Contains(of, seller) })
}

// Line is one item of a parcel: one or more like pieces. All amounts are for the whole line and in
// the currency of the territory.
type Line struct {
	ID     string         // by which it is named in errors and steps
	Class  string         // key of Consignments.Classes; may be empty
	Origin string         // country of making, ISO 3166; empty is the country of dispatch
	Count  int64          // pieces
	Weight measure.Weight // of the whole line
	// Unweighed is set where the weight is not known; a duty by weight is then an error.
	Unweighed bool
	Value     money.Amount // price of the goods with the buyer's premium
	// The shares of the line in the freight, insurance and other fees up to the first destination.
	Freight, Insurance, OtherFees money.Amount
}

// Class is a kind of goods as customs sees it.
type Class struct {
	Code string // tariff code; goods of one code are one heading
	// Duty is the rate of the tariff. Nil is a rate not known, which is an error where duty is due;
	// free goods have a zero Rate.
	Duty *Rate
	// Found says where the rate was found, for the working; "" is that the caller was given it.
	// Also names what stands there besides and is not in the rate.
	Found string
	Also  []string // further codes, by which other rates are looked up
	// Tax names the rate of import tax: "" is "standard", "zero" is none.
	Tax string
	// Surcharges are rates beside the duty, as exact fractions of the value, by country of making.
	Surcharges map[string]decimal.Decimal
}

// classRate is a class made ready for arithmetic.
type classRate struct {
	known   bool
	duty    dutyRate
	heading string
	code    string // its digits
	kind    string
	surOf   map[string]ratio
}

// dutyRate is a rate of duty in integers: a fraction over perUnit, and minor units times 10^7 per
// kilogram and per piece.
type dutyRate struct{ fraction, perKilogram, perPiece uint64 }

func (d dutyRate) specific() bool { return d.perKilogram != 0 || d.perPiece != 0 }

// ready makes a class ready, by the digits of its code. It returns an [*InputError].
func (c *Class) ready(key, code string, cur money.Currency) (classRate, error) {
	r := classRate{heading: cmp.Or(code, c.Code, key), code: code, kind: cmp.Or(c.Tax, "standard"), known: c.Duty != nil}
	rate := func(what string, d decimal.Decimal) (ratio, error) {
		f, err := ratioOf(d)
		if err != nil {
			err = wrongInClass(key, what, percentText(d), "write a rate from 0 % to 1000 % with at most seven decimals")
		}
		return f, err
	}
	if c.Duty != nil {
		f, err := rate("duty", c.Duty.Fraction)
		if err != nil {
			return r, err
		}
		r.duty.fraction = f.num
		if r.duty.perKilogram, err = specific(key, "duty per kg", c.Duty.PerKilogram, cur); err != nil {
			return r, err
		}
		if r.duty.perPiece, err = specific(key, "duty per piece", c.Duty.PerPiece, cur); err != nil {
			return r, err
		}
	}
	if len(c.Surcharges) == 0 {
		return r, nil
	}
	r.surOf = make(map[string]ratio, len(c.Surcharges))
	faulty := "" // of several the first
	for origin, d := range c.Surcharges {
		f, err := ratioOf(d)
		if err != nil && (faulty == "" || origin < faulty) {
			faulty = origin
		}
		r.surOf[origin] = f
	}
	if faulty != "" {
		_, err := rate("surcharge on "+faulty, c.Surcharges[faulty])
		return r, err
	}
	return r, nil
}

// specificScale is how finely a sum per kilogram or piece is held: 10^-7 of a minor unit.
const specificScale = 7

func specific(class, what string, d decimal.Decimal, cur money.Currency) (uint64, error) {
	if d.IsZero() {
		return 0, nil
	}
	scaled := d.Shift(int32(cur.Digits() + specificScale))
	if !writable(d) || d.Sign() < 0 || !scaled.IsInteger() || scaled.Cmp(decimal.NewFromInt(math.MaxInt64)) > 0 {
		return 0, wrongInClass(class, what, numberText(d), "write a sum of zero or more in "+cur.Code()+", with at most "+strconv.Itoa(cur.Digits()+specificScale)+" decimals")
	}
	return uint64(scaled.IntPart()), nil
}

// check finds what cannot be assessed.
func (c *Consignments) check(r *Rules) error {
	switch {
	case r == nil || r.set == nil || c == nil:
		return &InputError{What: "rules", said: "nothing can be assessed: take the rules from a book or from Parse, and give the consignments"}
	case !r.set.covers(c.To), r.subdivision && len(c.To) == len(r.Territory):
		return wrongPlace(r, c.To)
	case !c.On.IsZero() && !r.covers(c.On):
		return &NoRulesError{place: c.To, on: c.On, Territory: r.Territory, first: r.From, last: r.To}
	}
	for _, name := range c.Holds {
		if !r.asks(name) {
			return notOpen(r, name)
		}
	}
	total, pieces, class := int64(0), int64(0), ""
	for i := range c.Parcels {
		p := &c.Parcels[i]
		if p.TaxPaid && p.Private {
			return wrong(p.ID, "", "the seller", "private, and the tax paid", "say whether the seller charges the tax at the sale, or does not")
		}
		for j := range p.Lines {
			if err := c.checkLine(r, p, &p.Lines[j], class, &total); err != nil {
				return err
			}
			class = p.Lines[j].Class
			if p.Lines[j].Count > maxMoney-pieces {
				return money.ErrOverflow
			}
			pieces += p.Lines[j].Count
		}
		for _, f := range p.Fees {
			if err := checkAmount(p.ID, "", f.What, f.Amount, r.Currency, &total); err != nil {
				return err
			}
		}
	}
	return nil
}

// checkLine finds what is wrong with a line beside others of a class that is there; "" is none.
func (c *Consignments) checkLine(r *Rules, p *Parcel, l *Line, class string, total *int64) error {
	if l.Count < 1 {
		return wrong(p.ID, l.ID, "count", strconv.FormatInt(l.Count, 10), "give the number of pieces, 1 or more")
	}
	if l.Weight < 0 {
		return wrong(p.ID, l.ID, "weight", l.Weight.String(), "give a weight of zero or more")
	}
	if l.Class != class {
		if _, known := c.Classes[l.Class]; !known && l.Class != "" {
			return c.noClass(p, l)
		}
	}
	for _, a := range [...]struct {
		what string
		sum  money.Amount
	}{{"value", l.Value}, {"freight", l.Freight}, {"insurance", l.Insurance}, {"other fees", l.OtherFees}} {
		if err := checkAmount(p.ID, l.ID, a.what, a.sum, r.Currency, total); err != nil {
			return err
		}
	}
	return nil
}

// noClass tells that the class of a line is not there.
func (c *Consignments) noClass(p *Parcel, l *Line) error {
	remedy := "write it under customs: classes, with its rate of duty, as in " + l.Class + ": {duty: 6.5%}"
	if len(c.Classes) > 0 {
		remedy = source.DidYouMean(l.Class, slices.Sorted(maps.Keys(c.Classes)))
	}
	return &InputError{l.ID, l.Class, "class", fmt.Sprintf("%s: there is no customs class %q: %s", lineOf(p.ID, l.ID), l.Class, remedy)}
}

// checkAmount refuses what is below zero or in another currency, and keeps the total of all within
// bounds. No amount at all is nothing.
func checkAmount(parcel, line, what string, a money.Amount, cur money.Currency, total *int64) error {
	switch {
	case a == money.Amount{}:
		return nil
	case a.Currency() != cur:
		return wrong(parcel, line, what, a.String(), "convert it to "+cur.Code()+" at customs' rate")
	case a.Sign() < 0:
		return wrong(parcel, line, what, a.String(), "give a sum of zero or more")
	case a.Minor() > maxMoney-*total:
		return money.ErrOverflow
	}
	*total += a.Minor()
	return nil
}
