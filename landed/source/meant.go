package source

import (
	"regexp"
	"slices"
	"strings"
	"sync"
)

// synonyms are what people call what we have a word for, in English and a few
// other languages, or write when they mean it: keys, words and flags alike. A
// word may stand for several; which is meant hangs on what is known at its place.
// Common usage, no source.
var synonyms = sync.OnceValue(func() map[string]string {
	return map[string]string{
		"amount":             "price cost sum total value betrag kosten montant bedrag importe amt fee charge",
		"antique":            "antiques antik",
		"assessed":           "customs assessment bill",
		"basis":              "by",
		"bidding":            "bid bids auction",
		"budget":             "limit max maximum most",
		"by":                 "basis share-by shared-by split-by split mode via way carrier method",
		"cargo":              "container sea freight sea-freight",
		"chance":             "probability prob odds likelihood percent wahrscheinlichkeit p",
		"chances":            "outcomes odds probabilities risks",
		"charged":            "buyer-pays postage-charged shipping-charged",
		"charges":            "charge costs cost expenses fees fee shipping freight postage extras kosten gebühren frais",
		"class":              "category customs-class hs hs-code type group klasse",
		"classes":            "class categories tariff duties",
		"code":               "hs hs-code hscode tariff-code taric commodity-code commodity zolltarifnummer hts",
		"cost":               "price amount preis kosten",
		"count":              "qty quantity number pieces pcs pc units amount anzahl menge stück stk nombre quantité aantal cantidad no nr n how-many price-per-piece piece items equally quantities stückzahl quantità quantidade ilość antal määrä pezzi piezas pièces stuks szt",
		"courier":            "express parcel-service private-courier",
		"customs":            "duty duties import border tax taxes vat zoll douane",
		"date":               "day datum purchase-date date-of-purchase purchased bought when auction-date sale-date kaufdatum tag fecha data",
		"dead":               "broken bad scrap defect defective faulty junk kaputt defekt lost",
		"duty":               "customs-duty duty-rate rate tariff zoll import-duty zollsatz duties percent percentage",
		"exchange":           "fx forex exchange-rate exchange-rates rate rates currency currencies conversion wechselkurs wechselkurse kurs kurse",
		"extra":              "more surplus bonus additional",
		"fee":                "fees handling commission charge card-fee gebühr gebühren service other misc",
		"fees":               "fee costs charges commission commissions gebühren handling",
		"fixed":              "flat base per-order per-sale fix amount plus",
		"freight":            "shipping postage carriage transport delivery versand porto versandkosten fracht mail parcel post port envío verzending p&p ship courier air airmail surface",
		"from":               "origin country from-country source country-of-origin ships-from herkunft herkunftsland von sender aus",
		"gift":               "present geschenk cadeau",
		"goal":               "target goals aim",
		"haul":               "shipment all order once whole total everything purchase",
		"home":               "currency home-currency my-currency base-currency base währung devise heimatwährung valuta moneda book-currency books",
		"hours":              "time work labour labor hour stunden zeit",
		"id":                 "name key sku no nr number ref reference code item lot nummer item-id lot-id item-no lot-no lot-number item-number artikel artikelnummer stock-number short-name label",
		"insurance":          "ins insured insure versicherung assurance cover",
		"insure":             "insurance insured",
		"item":               "items sound each own piece article line artikel itself",
		"items":              "item contents content pieces goods articles list inventory artikel inhalt positionen objects",
		"keep":               "kept keeping keepers behalten own mine",
		"keeps":              "left remains remaining keep rest value",
		"kind":               "type category art sort",
		"leaves":             "ships departs leave departure sent shipped sending-date ship-date",
		"limits":             "limit max maximum",
		"losses":             "loss breakage",
		"lot":                "lots bundle box crate auction-lot los",
		"lots":               "lot bundles bundle crates boxes purchases lose auction-lots",
		"margin":             "profit-margin marge",
		"missing":            "lost absent short not-there fehlt fehlend",
		"model":              "type kind variant version make modell",
		"no":                 "n nein non false off 0 never none nee",
		"of":                 "on base",
		"on":                 "for lots covers items applies-to of",
		"packed":             "packed-weight gross-weight gross shipping-weight weight total-weight",
		"packing":            "packaging packing-cost material verpackung wrapping",
		"padding":            "wrap wrapping",
		"parcel":             "box package parcels paket colis shipment carton",
		"parcels":            "boxes packages parcel box paket pakete",
		"parts":              "for-parts spares spare partial",
		"per":                "each for-each pro unit",
		"percent":            "rate percentage pct share prozent fee commission",
		"personal":           "private own own-use hobby personal-use self privat private-use myself for-myself home collector collection me",
		"piece":              "each pieces unit pc pcs stück every-piece one",
		"post":               "mail airmail air-mail air postal royal ems surface surface-mail sal postal-service by-post letter parcel-post posts brief deutsche-post air-post",
		"postage":            "shipping freight delivery porto versand shipping-cost versandkosten carriage",
		"premium":            "buyers-premium buyer-premium commission fee aufgeld bp buyer-fee surcharge auction-premium käuferaufgeld frais buyerspremium buyers-fee",
		"price":              "hammer cost hammer-price amount purchase-price preis paid bid zuschlag prix precio prezzo prijs bought-for sold-for total kaufpreis einkaufspreis winning-bid asking asking-price sum value",
		"profit":             "gain gewinn win",
		"rate":               "percent percentage rates satz",
		"rates":              "rate exchange-rate exchange-rates kurs kurse table",
		"repair":             "repairs fix restoration restore repair-cost reparatur parts-cost",
		"resale":             "sale business trade sell reselling commercial to-sell for-resale trading sales",
		"rest":               "remaining else remainder otherwise others other balance remain left *",
		"return":             "roi return-on-cost yield markup mark-up rendite",
		"seller":             "vendor sold-by shop house auction-house auctioneer dealer verkäufer auktionshaus vendeur sale-room",
		"selling":            "sales sale sell verkauf resale venues",
		"sending":            "shipping send transport services",
		"settled":            "bank charged-to-card card paid actually-paid actual bank-took abgebucht really-paid",
		"share":              "sharing shares split basis by allocation",
		"size":               "dimensions dims dimension box-size measurements sizes größe abmessungen maße masse measures",
		"sold":               "sales sold-for sale sale-price sale-prices verkauft",
		"sound":              "good ok working works fine right perfect intact usable complete gut heil okay whole",
		"spread":             "margin markup mark-up card-fee card-spread fee surcharge card bank-fee fx-fee foreign-fee currency-fee aufschlag",
		"start":              "first-bid start-bid opening opening-bid starting-bid minimum min from",
		"steps":              "step increments increment bid-steps table tiers rates",
		"surcharges":         "surcharge additional-duty extra-duty",
		"target":             "profit margin goal aim ziel markup mark-up",
		"tax":                "vat gst mwst ust import-vat import-tax sales-tax tva mehrwertsteuer btw iva",
		"title":              "name what description heading label titel describe caption",
		"to":                 "destination to-country ship-to ziel zielland nach deliver-to country receiver home-country dest",
		"up-to":              "to upto until max weight up below",
		"use":                "purpose reason for zweck usage",
		"value":              "resale worth price resale-value sale-price sell-price sells-for market-value wert verkaufswert estimate valeur valor waarde price-each unit-price estimated-value market-price preis values verkaufspreis schätzwert amount retail selling-price expected-price by-value by-price cost prices valore wartość värde værdi arvo hodnota verkaufswerte",
		"venue":              "shop site platform marketplace market sell-on sell-at channel",
		"venues":             "venue shops sites platforms marketplaces markets channels",
		"weight":             "wt mass kg weights gewicht weight-kg weight-g gram grams poids peso gew kilo kilos weigh weighs by-weight unit-weight weight-each grammes waga vikt vægt vekt paino hmotnost pesos stückgewicht einzelgewicht",
		"what":               "name description title item-name beschreibung bezeichnung artikel note notes text desc item descr details product nom omschrijving naam object comment label subject désignation designation denominazione descrizione descripción articolo artículo article libellé gegenstand produkt bezeichnungen opis nazwa benämning beskrivning betegnelse descrição",
		"worth":              "value",
		"written-off":        "nobody write-off writeoff none written off lost",
		"yes":                "y ja oui true on 1 si sí always yeah yep",
		"lotcost":            "version lotcost-version format",
		"charge":             "charges costs fee fees",
		"length-plus-girth":  "girth l+g",
		"volumetric":         "dimensional dim vol",
		"cap":                "maximum max most limit",
		"floor":              "minimum min least",
		"tiers":              "bands steps levels",
		"currency":           "cur curr home währung devise",
		"surface":            "sea boat",
		"open":               "unknown tbd tba ? ?? not-yet unsold future undecided later bid bidding auction unsure offen",
		"ordinary":           "normal standard usual full",
		"second-hand":        "used secondhand second hand",
		"equal":              "equally same even evenly flat",
		"bench":              "work",
		"check":              "validate verify lint test",
		"split":              "cost costs share allocate divide calc calculate",
		"together":           "combine consolidate ship shipping parcels",
		"new":                "init create start template",
		"rules":              "customs tariff tariffs",
		"seller-charges-tax": "vat-paid vat-included ioss seller-tax tax-included seller-charges-vat",
		"works":              "working chance sound",
		"pieces":             "count qty quantity number pcs",
		"in":                 "currency bid-currency bids bids-in",
		"at":                 "price bid",
		"format":             "output type as json csv",
		"output":             "out file save to",
		"file":               "path input",
	}
})

// Meant returns which of the known words a word that is none of them stands for:
// the same in other letters, a synonym, or the [Nearest]; "" when none is. Of
// words equally like it the first known is taken, one that is taken already only
// where no other is like it.
func Meant(word string, known []string, taken ...string) string {
	if len(taken) > 0 {
		free := slices.DeleteFunc(slices.Clone(known), func(k string) bool { return slices.Contains(taken, k) })
		if meant := Meant(word, free); meant != "" {
			return meant
		}
	}
	same := foldWord(word)
	for _, k := range known {
		if same != "" && foldWord(k) == same {
			return k
		}
	}
	for _, k := range known {
		if same != "" && slices.Contains(strings.Fields(synonyms()[k]), same) {
			return k
		}
	}
	if near := Nearest(word, known); near != "" {
		return near
	}
	return Nearest(same, known)
}

// foldWord writes a word as keys are: small, with hyphens between its parts.
func foldWord(word string) string {
	return strings.Join(strings.Fields(folds().Replace(strings.ToLower(word))), "-")
}

var folds = sync.OnceValue(func() *strings.Replacer {
	return strings.NewReplacer("'", "", "’", "", "_", " ", "-", " ", ".", " ", ":", " ", "\u00a0", " ")
})

// DidYouMean makes "did you mean X?" of the known word that was [Meant], or else
// lists what is known.
func DidYouMean(word string, known []string, taken ...string) string {
	if several := severalOf(word, known); several != "" {
		return "write " + several
	}
	if meant := Meant(word, known, taken...); meant != "" {
		return "did you mean " + meant + "?"
	}
	var each []string // an id may stand twice
	for _, word := range known {
		if !slices.Contains(each, word) {
			each = append(each, word)
		}
	}
	return "known here: " + strings.Join(each, ", ")
}

var joins = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`\s*(?:[,;+&|/]|\band\b)\s*`) })

// severalOf writes a list of known words in one text as a list, "" for any other.
func severalOf(text string, known []string) string {
	words := joins().Split(strings.Trim(text, "()[]{} "), -1)
	for _, word := range words {
		if len(words) < 2 || !slices.Contains(known, word) {
			return ""
		}
	}
	return "[" + strings.Join(words, ", ") + "]"
}
