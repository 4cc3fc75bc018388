package lotfile

// boughtLot is a lot that was bought, up to its items.
const boughtLot = `lots:
  - id: lot-1
    seller:  # who sold it, as in <seller>
    price:  # of the whole lot, as in <60 sale>
    premium: 0%  # the buyer's, as in 20%
    # settled: <settled>  # what the bank took for both, once it is known
    items:  # a line for each, or the name of a list: items: items.csv
`

// draftSections are the sections that a new file may have, in order, and the
// steps that need each. A mark in angles stands for what the case gives. What the
// user fills in stands empty, with an example behind the words "as in".
var draftSections = []struct{ key, steps, text string }{
	{"exchange", "bid split price together defaults", `exchange:
  spread: <spread>  # what your card adds to the rate, as in 2.5%
  rates:
<rates>
`},
	{"share", "", `share:  # what each kind of cost goes by: weight, count, value or line
  price: value
  freight: weight
  insurance: value
  fee: count
`},
	{"lots", "bid", `lots:
  - id: lot-1
    seller:  # who sells it, as in <seller>
    price: open  # until it is won
    premium: 0%  # the buyer's, as in 20%
    items:  # a line for each, or the name of a list: items: items.csv
      -  # as in {id: jack, what: Jack plane, count: 2, weight: 1900 g<class>, value: <40 home>}
      # Untested, in place of value: chances: [{chance: 60%, value: <40 home>}, {chance: rest, value: <8 home>}]
`},
	{"lots", "split", boughtLot + `      -  # as in {id: jack, what: Jack plane, count: 2, weight: 1900 g<class>, value: <40 home>}
`},
	{"lots", "price", boughtLot + `      -  # as in {id: jack, what: Jack plane, count: 3, weight: 1900 g<class>, value: <40 home>, keep: 1, found: {sound: 2, dead: 1}}
`},
	{"lots", "together", `lots:
  - id: lot-1
    seller:  # who sells it, as in <seller>
    price:  # paid or likely, as in <60 sale>
    premium: 0%  # the buyer's, as in 20%
    size:  # outside, as in 40x30x20 cm
    items:  # a line for each, or the name of a list: items: items.csv
      -  # as in {id: jack, what: Jack plane, count: 2, weight: 1900 g<class>, value: <40 home>}
  - id: lot-2
    seller:  # as in <seller>
    price:  # as in <25 sale>
    premium: 0%  # as in 20%
    size:  # as in 30x20x10 cm
    items:
      -  # as in {id: square, what: Try square, weight: 310 g<class>, value: <12 home>}
`},
	{"charges", "bid split price", `charges:
  - what: Parcel
    kind: freight  # freight, insurance, fee or repair
    amount:  # what it costs, or will cost, as in <14 sale>
`},
	{"parcels", "", `parcels:  # which lots travel in which box; all in one, if left out
  - {id: box-1, lots: [<lots>], insurance: <2 sale>, billed: 4600 g}
`},
	{"sending", "together", `sending:
  services:  # one entry for each, or the name of a file with such a list
    - name: surface
      currency: <sale>
      steps:  # by weight
        - up-to: 20 kg
          price:  # as in <24 sale>
  packing: {share: 8%, fixed: 300 g, padding: 1 cm}
`},
	{"customs", "bid split price together defaults", `customs:
  use: personal  # personal, gift or resale
  by: post  # post, courier or cargo
  class: goods  # of items that have none of their own
  classes:
    goods:
      duty:  # by the tariff of <to>, as in 2.7%, or free
`},
	{"losses", "", `losses: item  # who carries dead and missing pieces: item, lot, haul or written-off
`},
	{"selling", "price", `selling:
  target: 10%  # the profit, of the price; or <5 home>, or 30% on cost
  venues:  # one entry for each, or the name of a file with such a list
    - name: venue-1
      fees:
        - what: commission
          percent:  # of the price, as in 8%
      postage:  # what sending one costs you, as in <6 home>, or 0
`},
	{"bidding", "bid", `bidding:
  start: <1 sale>  # the first bid that is taken
  goal: <goal>  # also profit, margin, risk (of a loss) and budget
`},
	{"bidding", "defaults", `bidding:
  goal: <goal>  # also profit, margin, risk (of a loss) and budget
`},
	{"risks", "", `risks:  # what may happen to many pieces at once
  - {chance: 2%, what: dropped on the way, keeps: 30%}
`},
	{"premiums", "defaults", `premiums:  # of sellers, as in {tidemark: 20%}
`},
	{"wanted", "defaults", `wanted: {default: 1}  # how many pieces of a model you keep
`},
	{"year-from", "defaults", `year-from: <year>  # the first day of a tax year there, month-day
`},
}
