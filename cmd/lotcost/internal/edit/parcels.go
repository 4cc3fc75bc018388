package edit

import (
	"fmt"
	"slices"
	"strings"

	"lotcost/landed"
	"lotcost/landed/measure"

	"go.yaml.in/yaml/v3"
)

// WithParcels writes other parcels into a lot file, each with a note of its own above it where
// there is one: in the place of the file's own, or else below its lots. Those of its own that are
// kept, by id, stay as they are, before the others. Figures have decimal commas where commas says
// that the file, or what it takes its defaults from, has them.
func (d *Doc) WithParcels(parcels []landed.Parcel, notes []string, commas bool, keep ...string) (*Doc, error) {
	if len(keep) > 0 {
		return d.withMore(parcels, notes, commas, keep)
	}
	root := d.root
	if root.Kind != yaml.MappingNode || inFlow([]*yaml.Node{root}) || len(root.Content) == 0 {
		return nil, d.fault(root, nil, "the parcels have no place here: the keys do not stand on lines of their own",
			"write each key of the file on its own line, without braces round them all")
	}
	w, indent := writer{d.ending}, root.Column-1
	text := strings.Repeat(" ", indent) + "parcels:"
	for i := range parcels {
		if i < len(notes) && notes[i] != "" {
			text += w.line(indent+2) + "# " + strings.Join(strings.Fields(notes[i]), " ")
		}
		text += w.line(indent+2) + "- " + flow(parcelNode(&parcels[i], commas))
	}
	var section yaml.Node
	if err := yaml.Unmarshal([]byte(text), &section); err != nil {
		return nil, err
	}
	c, p := change{text: text + d.ending}, Path{{Key: "parcels"}}
	put, over := 2*slices.Index(keysOf(root), "parcels"), 2
	if put >= 0 {
		c.from = d.lines[root.Content[put].Line-1]
		_, c.to = d.startOfLine(d.endOfEntry(root, put))
	} else {
		lots := 2 * slices.Index(keysOf(root), "lots")
		if lots < 0 {
			return nil, d.fault(&yaml.Node{}, Path{{Key: "lots"}}, "there are no lots below which the parcels could stand", "list what was bought")
		}
		_, c.from = d.startOfLine(d.endOfNotes(d.endOfEntry(root, lots), indent))
		put, over, c.to = lots+2, 0, c.from
		if c.from == len(d.data) && !strings.ContainsAny(string(d.data[len(d.data)-1]), lineEnds) {
			c.text = d.ending + c.text
		}
	}
	c.tree = d.grown(nil, func(n *yaml.Node) {
		n.Content = slices.Replace(n.Content, put, put+over, section.Content[0].Content...)
	})
	return d.apply(p, c)
}

// withMore keeps some parcels of the file.
func (d *Doc) withMore(parcels []landed.Parcel, notes []string, commas bool, keep []string) (_ *Doc, err error) {
	list := Path{{Key: "parcels"}}
	for i := d.Len(list) - 1; i >= 0 && err == nil; i-- {
		if id, _ := d.Text(list.Below(i, "id")); !slices.Contains(keep, id) {
			from, to := d.notesAbove(list.Below(i))
			if d, err = d.Delete(list.Below(i)); err == nil {
				d, err = Parse(d.name, slices.Delete(slices.Clone(d.data), from, to))
			}
		}
	}
	for i := 0; i < len(parcels) && err == nil; i++ {
		n := parcelNode(&parcels[i], commas)
		if i < len(notes) && notes[i] != "" {
			n.HeadComment = "# " + strings.Join(strings.Fields(notes[i]), " ")
		}
		d, err = d.set(list.Below(New), n)
	}
	return d, err
}

// notesAbove is where the lines of notes stand right above an entry that begins a line.
func (d *Doc) notesAbove(p Path) (from, to int) {
	way := d.find(p)
	to, _ = d.startOfLine(d.offset(way[len(way)-1]))
	for from = to; from > 0 && !inFlow(way[:len(way)-1]); {
		above, _ := d.startOfLine(from - 1)
		if !strings.HasPrefix(strings.TrimSpace(string(d.data[above:from])), "#") {
			break
		}
		from = above
	}
	return from, to
}

// parcelNode is a parcel as the format has it, with its figures in the marks of the file.
func parcelNode(p *landed.Parcel, commas bool) *yaml.Node {
	n := &yaml.Node{Kind: yaml.MappingNode}
	add := func(key string, value *yaml.Node) { n.Content = append(n.Content, single(key), value) }
	add("id", single(p.ID))
	lots := listOf()
	for _, id := range p.Lots {
		lots.Content = append(lots.Content, single(id))
	}
	add("lots", lots)
	for _, figure := range ParcelFigures(p) {
		if commas {
			figure[1] = strings.ReplaceAll(figure[1], ".", ",")
		}
		add(figure[0], single(figure[1]))
	}
	return n
}

// ParcelFigures are the figures of a parcel as a file has them, each behind its key.
func ParcelFigures(p *landed.Parcel) (list [][2]string) {
	add := func(is bool, key string, of fmt.Stringer) {
		if is {
			list = append(list, [2]string{key, of.String()})
		}
	}
	add(p.Freight.Currency() != 0, "freight", p.Freight)
	add(p.Insurance.Currency() != 0, "insurance", p.Insurance)
	add(p.Fees.Currency() != 0, "fees", p.Fees)
	add(p.Billed > 0, "billed", p.Billed)
	add(p.Size != (measure.Size{}), "size", p.Size)
	return list
}
