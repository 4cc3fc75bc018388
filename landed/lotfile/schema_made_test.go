package lotfile_test

import (
	"encoding/json"
	"maps"
	"slices"
	"strings"
	"testing"

	"lotcost/landed/lotfile"
)

// schema.json is made here, of the reference and of one table of shapes, when the tests run with
// -update: it is the same for all who run the command.

// shape is what may stand at a key, in words parted by blanks, of which one must fit: a kind of
// scalars, words joined by |, a group by its name in shapes, or a list as [what]. An exclamation
// mark behind the last says that the key must be there.
type shape string

// shapes are the groups of keys: those of the reference by its headings, which say what each key
// is for, and those that stand in one row of it.
var shapes = map[string]map[string]shape{
	"At the top": {"lotcost": "1!", "decimal": "comma|point", "with": "text", "title": "text", "home": "currency", "date": "day", "from": "place", "to": "place",
		"exchange": "exchange [text] text", "share": "share", "lots": "[lots]!", "parcels": "[parcels]", "charges": "[charges]", "sending": "sending", "customs": "customs",
		"losses": "item|lot|haul|written-off", "selling": "selling", "bidding": "bidding", "risks": "[risks]"},
	defaultsSection: {"lotcost-book": "1!", "decimal": "comma|point", "home": "currency", "to": "place", "exchange": "exchange [text] text", "share": "share",
		"losses": "item|lot|haul|written-off", "customs": "customs", "sending": "sending", "selling": "selling", "bidding": "bidding", "risks": "[risks]",
		"premiums": "premiums", "wanted": "wanted", "year-from": "text"},
	"premiums": {"*": "figure"},
	"wanted":   {"*": "figure"},
	"exchange": {"rates": "[text] text", "table": "text", "spread": "figure"},
	"share": {"price": "basis", "freight": "basis", "insurance": "basis", "fee": "basis", "repair": "basis",
		"duty": "weight|count|value|line|equal|assessed", "tax": "weight|count|value|line|equal|assessed"},
	"lots": {"id": "text!", "title": "text", "seller": "text", "price": "figure open", "premium": "figure", "settled": "figure", "lost": "yes", "closes": "figure",
		"likely": "figure [figure] likely", "items": "[items] text!", "size": "figure", "packed": "figure", "arrived": "day", "contents": "[text] text", "roll": "yes"},
	"likely": {"half": "figure!", "most": "figure!"},
	"items": {"id": "text!", "what": "text", "model": "text", "count": "figure", "weight": "figure", "value": "figure [figure]", "class": "text",
		"chances": "[chances] chances:#from#the#book", "alike": "yes", "found": "found", "repair": "figure", "hours": "figure", "parts-value": "figure", "keep": "figure",
		"worth": "figure", "sold": "[figure|sold] figure"},
	"chances":                {"chance": "figure rest!", "what": "text", "value": "figure!", "repair": "figure", "state": "sound|parts|dead"},
	"chances: from the book": {"from": "book!", "class": "text", "seller": "text", "model": "text", "own": "[chances]", "own-counts": "figure"},
	"found":                  {"sound": "figure", "parts": "figure", "dead": "figure", "missing": "figure", "extra": "figure", "yields": "[yields]"},
	"yields":                 {"what": "text!", "count": "figure", "value": "figure!", "weight": "figure"},
	"sold":                   {"price": "figure!", "count": "figure", "date": "day", "venue": "text", "postage": "figure", "fees": "figure", "made": "text", "returned": "day returned [day|returned]"},
	"returned":               {"date": "day!", "refund": "figure", "count": "figure", "fees-back": "figure", "postage": "figure", "as": "parts|dead"},
	"parcels": {"id": "text!", "lots": "[text] text", "freight": "figure", "insurance": "figure", "fees": "figure", "settled": "parcels:#settled", "assessed": "assessed",
		"billed": "figure", "size": "figure"},
	"parcels: settled": {"freight": "figure", "insurance": "figure", "fees": "figure"},
	"assessed":         {"duty": "figure", "tax": "figure", "fee": "figure"},
	"charges": {"what": "text", "kind": "freight|insurance|fee|repair", "amount": "figure", "settled": "figure", "per": "haul|parcel|lot|item|piece",
		"on": "[text] text", "by": "basis", "dutiable": "yes"},
	"customs": {"use": "personal|gift|resale|returned", "by": "post|courier|cargo", "post": "letters|parcels", "seller-charges-tax": "yes", "class": "text",
		"classes": "classes", "made": "place", "rates": "[text] text", "flat": "yes", "holds": "[text] text", "tariff": "text", "tariff-date": "day",
		"fees": "[text|customs:#a#fee] customs:#a#fee text", "rules": "text", "assessed": "assessed", "tax-paid": "yes"},
	"customs: a fee": {"what": "text", "amount": "figure!"},
	"classes":        {"*": "customs:#a#class"},
	"customs: a class": {"duty": "figure free", "code": "text", "what": "text", "tax": "text", "surcharges": "surcharges", "tariff": "text", "tariff-date": "text",
		"proof": "yes"},
	"surcharges": {"*": "figure"},
	"sending": {"services": "[services] text!", "zone": "text", "packing": "packing", "forwarder": "forwarder", "leaves": "day", "latest": "day",
		"together": "[[text]]", "apart": "[[text]]", "insure": "yes where-offered"},
	"packing":   {"share": "figure", "fixed": "figure", "padding": "figure"},
	"forwarder": {"parcel": "figure", "lot": "figure", "consolidation": "figure", "storage": "storage"},
	"storage":   {"free": "figure", "day": "figure", "by": "lot|kg"},
	"services": {"name": "text!", "currency": "currency!", "steps": "[prices#by#weight]", "further": "further", "zones": "[zones]", "volumetric": "volumetric",
		"round-to": "figure", "minimum": "figure", "limits": "limits", "rolls": "limits", "per-parcel": "figure", "fuel": "fuel", "insurance": "cover",
		"refuses": "[text] text", "days": "figure", "from": "day", "until": "day"},
	"prices by weight": {"up-to": "figure!", "price": "figure!"},
	"further":          {"each": "figure!", "price": "figure!"},
	"zones":            {"name": "text!", "steps": "[prices#by#weight]!", "further": "further"},
	"volumetric":       {"divisor": "figure!", "billed": "actual|volumetric|greater", "whole": "figure"},
	"limits":           {"weight": "figure", "longest": "figure", "length-plus-girth": "figure", "sum-of-sides": "figure", "tolerance": "figure", "value": "figure"},
	"fuel":             {"rate": "figure", "of": "postage|postage#and#parcel"},
	"cover":            {"steps": "[prices#by#weight]", "further": "further", "rate": "figure", "least": "figure"},
	"selling": {"venues": "[venues] text!", "cost-word": "text", "venue": "text", "target": "figure", "charged": "figure", "packing": "figure", "postage": "figure postage", "advertised": "yes",
		"offered": "figure", "tax": "tax", "promoted": "yes", "listings": "figure"},
	"tax":               {"scheme": "none|ordinary|margin", "rate": "figure", "goods": "second-hand|art|antique|collectors", "imported": "yes"},
	"postage":           {"fixed": "figure", "steps": "[postage#by#weight]"},
	"postage by weight": {"up-to": "figure!", "cost": "figure!"},
	"venues": {"name": "text!", "currency": "currency", "ships": "yes", "fees": "[venues:#a#fee]", "sales-tax": "sales-tax", "charged": "figure", "packing": "figure",
		"postage": "figure postage"},
	"sales-tax": {"rate": "figure", "on-postage": "yes"},
	"venues: a fee": {"what": "text", "kind": "selling|payment|listing|advertising|promotion", "of": "price|price#and#postage", "with-tax": "yes", "percent": "figure",
		"tiers": "[tiers]", "bands": "marginal|whole", "fixed": "figure", "floor": "figure", "cap": "figure"},
	"tiers":             {"from": "figure", "up-to": "figure", "rate": "figure!"},
	"bidding":           {"lot": "text", "start": "figure", "steps": "[steps]", "goal": "bidding:#the#goal"},
	"steps":             {"from": "figure", "step": "figure!"},
	"bidding: the goal": {"profit": "figure", "return": "figure", "margin": "figure", "risk": "figure", "budget": "figure"},
	"risks":             {"chance": "figure!", "what": "text", "keeps": "figure!", "on": "[text] text"},
}

// defaultsSection is what the reference calls a file of defaults.
const defaultsSection = "Defaults: a file of your own"

// oneOfThem are keys of a group of which one at least must be there.
var oneOfThem = map[string][]string{"At the top": {"home", "with"}, "lots": {"price", "settled", "lost"}, "charges": {"amount", "settled"}, "services": {"steps", "further", "zones"},
	"venues: a fee": {"percent", "tiers", "fixed", "floor"}}

// object is a schema, or a part of one.
type object = map[string]any

// scalars are the kinds of scalars, as far as a schema tells them. YAML takes some words for
// numbers or for yes and no, where the reader wants their text.
var scalars = map[string]object{
	"text":     {"type": []string{"string", "number", "boolean"}},
	"figure":   {"type": []string{"string", "number"}, "pattern": "[0-9]"},
	"day":      {"type": []string{"string"}, "pattern": "^[0-9]{4}-[0-9]{2}-[0-9]{2}$"},
	"place":    {"type": []string{"string", "boolean"}, "pattern": "^[A-Za-z]{2}(-[A-Za-z0-9]{1,3})?$"}, // no is Norway
	"currency": {"type": []string{"string"}, "pattern": "[A-Za-z]{3}"},
	"yes": {"anyOf": []object{{"enum": []any{"yes", "no", true, false}},
		{"type": "string", "pattern": "^([Yy][Ee][Ss]|[Nn][Oo]|[Tt][Rr][Uu][Ee]|[Ff][Aa][Ll][Ss][Ee])?$"}}},
	"1":     {"enum": []any{1, "1"}},
	"basis": {"enum": []string{"weight", "count", "value", "line", "equal"}},
}

// slug is a name as it may stand in an address.
func slug(name string) string {
	return strings.ToLower(strings.ReplaceAll(strings.ReplaceAll(name, ":", ""), " ", "-"))
}

// one is the schema of one of the things that a shape allows. Blanks in its name are written as #.
func one(name string) object {
	inner, isList := strings.CutPrefix(name, "[")
	name = strings.ReplaceAll(name, "#", " ")
	switch {
	case isList:
		names := strings.Split(strings.TrimSuffix(inner, "]"), "|")
		return object{"type": []string{"array"}, "items": anyOf(names, !slices.ContainsFunc(names, mustHold))}
	case shapes[name] != nil:
		return object{"$ref": "#/$defs/" + slug(name)}
	case scalars[name] != nil:
		return maps.Clone(scalars[name])
	}
	return object{"enum": strings.Split(name, "|")}
}

// mustHold reports whether there are keys without which a thing is none.
func mustHold(name string) bool {
	for _, kinds := range shapes[strings.ReplaceAll(name, "#", " ")] {
		if strings.HasSuffix(string(kinds), "!") {
			return true
		}
	}
	return false
}

// anyOf is the schema of one of several things, or of nothing where that may be.
func anyOf(names []string, empty bool) object {
	var all []object
	for _, name := range names {
		all = append(all, one(name))
	}
	if empty && len(all) == 1 {
		if enum, ok := all[0]["enum"].([]string); ok {
			return object{"enum": append([]any{nil}, anys(enum)...)}
		}
		if kinds, ok := all[0]["type"].([]string); ok {
			all[0]["type"] = append(slices.Clone(kinds), "null")
			return all[0]
		}
	}
	if empty {
		all = append(all, object{"type": "null"})
	}
	if len(all) == 1 {
		return all[0]
	}
	return object{"anyOf": all}
}

func anys(words []string) []any {
	all := make([]any, len(words))
	for i, word := range words {
		all[i] = word
	}
	return all
}

// groupOf is the schema of a group of keys, with what is said of each.
func groupOf(keys map[string]shape, said map[string]row) object {
	properties, required := object{}, []string{}
	group := object{"type": "object", "additionalProperties": false}
	for _, key := range slices.Sorted(maps.Keys(keys)) {
		names, must := strings.CutSuffix(string(keys[key]), "!")
		value := anyOf(strings.Fields(names), !must)
		if must {
			required = append(required, key)
		}
		if r, ok := said[key]; ok {
			value["description"], value["examples"] = r.says, r.examples
		}
		if slices.Contains(olderWords, key) {
			value["deprecated"] = true
		}
		if key == "*" {
			group["additionalProperties"] = value
			continue
		}
		properties[key] = value
	}
	if len(properties) > 0 {
		group["properties"] = properties
	}
	if len(required) > 0 {
		group["required"] = required
	}
	return group
}

// row is what the reference says of a key.
type row struct {
	says     string
	examples []string // as they stand there, behind the key
}

// rows are those of the reference, by section and key.
func rows() map[string]map[string]row {
	all := map[string]map[string]row{}
	for section, cells := range referenceRows {
		if all[section] == nil {
			all[section] = map[string]row{}
		}
		key, example, _ := strings.Cut(quoted.FindStringSubmatch(cells[0])[1], ": ")
		r := all[section][key]
		if says := strings.TrimSpace(cells[1]); r.says == "" {
			r.says = says
		} else {
			r.says += "; " + says
		}
		r.examples = append(r.examples, strings.Trim(example, `"`))
		all[section][key] = r
	}
	return all
}

// madeSchema is what schema.json is to hold.
func madeSchema(t testing.TB) []byte {
	t.Helper()
	said, defs := rows(), object{}
	for name, keys := range shapes {
		defs[slug(name)] = groupOf(keys, said[name])
	}
	for name, keys := range oneOfThem {
		group, given := defs[slug(name)].(object), []object{}
		for _, key := range keys {
			given = append(given, object{"required": []string{key}, "properties": object{key: object{"not": object{"type": "null"}}}})
		}
		group["anyOf"] = given
	}
	text, err := json.MarshalIndent(object{
		"$schema": "https://json-schema.org/draft/2020-12/schema",
		"$id":     lotfile.SchemaName,
		"title":   "A lot file, or a file of defaults",
		"if":      object{"type": "object", "required": []string{"lotcost-book"}},
		"then":    object{"$ref": "#/$defs/" + slug(defaultsSection)},
		"else":    object{"$ref": "#/$defs/" + slug("At the top")},
		"$defs":   defs,
	}, "", " ")
	if err != nil {
		t.Fatal(err)
	}
	return append(text, '\n')
}
