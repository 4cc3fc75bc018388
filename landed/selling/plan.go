package selling

import (
	"errors"
	"fmt"
	"strings"

	"lotcost/fx"
	"lotcost/landed"
	"lotcost/landed/money"
	"lotcost/landed/resale"
	"lotcost/landed/source"
)

// Plan says how the pieces that are not kept are to be sold. Its amounts
// may be in any currency for which the haul has a rate; the venues' own are in
// the venue's.
type Plan struct {
	Venues     []resale.Venue
	Usual      string         // name of the venue to sell at; the first where it is empty
	Target     resale.Target  // what each sale is to leave
	Charged    money.Amount   // postage that the buyer pays, unless the venue says otherwise; no currency when nothing
	Packing    money.Amount   // what packing one order costs, likewise
	Postage    resale.Postage // what sending costs the seller; the venue's where this is zero
	Advertised bool           // whether fees for advertising are paid
	Offered    int64          // how often a piece is offered until it sells; 0 is once
	VAT        resale.VAT     // Bought is worked out for each piece
	At         source.Origin
}

// Venue finds the place of a venue by its name; of the usual one where the name is
// empty. It returns [UnknownVenue]; p may be nil.
func (p *Plan) Venue(name string) (int, error) {
	if p == nil {
		return 0, unknownVenue(name, nil)
	}
	if name == "" {
		name = p.Usual
	}
	for i := range p.Venues {
		if p.Venues[i].Name == name || name == "" {
			return i, nil
		}
	}
	return 0, unknownVenue(name, p.VenueNames())
}

// VenueNames lists the names of the venues, in file order; p may be nil.
func (p *Plan) VenueNames() []string {
	if p == nil {
		return nil
	}
	var names []string
	for i := range p.Venues {
		names = append(names, p.Venues[i].Name)
	}
	return names
}

// Check warns of sales at a venue whose name is like that of a listed one; p may be
// nil.
func (p *Plan) Check(h *landed.Haul, report *source.Report) {
	if p == nil {
		return
	}
	for _, item := range h.Items() {
		for k := range item.Sold {
			p.checkSold(item, &item.Sold[k], report)
		}
	}
}

func (p *Plan) checkSold(item *landed.Item, s *landed.Sale, report *source.Report) {
	if _, err := p.Venue(s.Venue); err == nil || s.Venue == "" {
		return
	}
	if meant := source.Nearest(s.Venue, p.VenueNames()); meant != "" {
		report.Add(&source.Fault{At: s.At.Key("venue"), Field: "item " + item.ID + ": sold: venue", What: fmt.Sprintf("no venue is called %q, so it charges nothing", s.Venue), Remedy: "if that is not meant, write " + meant, Warning: true})
	}
}

// CheckSending returns an [*UnsentError] where a venue takes postage from
// buyers, or packs, while nothing is said of what sending costs.
func (p *Plan) CheckSending(v *resale.Venue) error {
	said := func(cost resale.Postage) bool { return cost.Fixed.Currency() != 0 || len(cost.Steps) > 0 }
	if v.Sending != resale.SendingUnsaid || said(v.Postage) || said(p.Postage) {
		return nil
	}
	e := &UnsentError{v.Name, p.Charged, p.Packing}
	if v.Charged.Currency() != 0 {
		e.charged = v.Charged
	}
	if v.Packing.Currency() != 0 {
		e.packing = v.Packing
	}
	if e.charged.Sign() > 0 || e.packing.Sign() > 0 {
		return e
	}
	return nil
}

// Imported reports whether the goods count as imported by whoever sells
// them: unless both countries are known and the same.
func Imported(h *landed.Haul) bool {
	from, _, _ := strings.Cut(h.From, "-")
	to, _, _ := strings.Cut(h.To, "-")
	return from == "" || from != to
}

// PlaceOf finds where in the section selling a currency stands for which there
// is no rate. It reports false, and the section, for any other error.
func (p *Plan) PlaceOf(err error, home money.Currency) (source.Origin, bool) {
	var none *fx.NoRateError
	if !errors.As(err, &none) {
		return p.At, false
	}
	for _, of := range []struct {
		key    string
		amount money.Amount
	}{{"charged", p.Charged}, {"packing", p.Packing}, {"postage", p.Postage.Fixed}, {"target", p.Target.Amount}} {
		if of.amount.Currency() != 0 && of.amount.Currency().Code() == string(none.From) {
			return p.At.Key(of.key), true
		}
	}
	for i := range p.Venues {
		own, abroad := fx.Code(home.Code()), fx.Code(p.Venues[i].Currency.Code())
		if none.From == own && none.To == abroad || none.From == abroad && none.To == own {
			return p.At.Entry(i, "venues").Key("currency"), true
		}
	}
	return p.At, false
}

// Bought is the purchase price of one piece for the margin scheme: its part of
// price and premium or, of imported goods, of the value for import tax and that
// tax (Directive 2006/112/EC, articles 312 and 317), taken as all but fees and
// repairs, in home. Odd units make it lower, which never makes the tax too low.
func (p *Plan) Bought(c *landed.ItemCost) money.Amount {
	kinds := []landed.Kind{landed.Price, landed.Premium}
	if p.VAT.Imported {
		kinds = append(kinds, landed.Freight, landed.Insurance, landed.Duty, landed.Tax)
	}
	var paid int64
	for _, k := range kinds {
		paid += c.Share(k).Minor()
	}
	large, small, _, err := money.Equal(paid, c.Count+c.Found.Extra)
	if err != nil || paid < 0 {
		return money.New(0, c.Cost.Currency())
	}
	return money.New(min(large, small), c.Cost.Currency())
}
