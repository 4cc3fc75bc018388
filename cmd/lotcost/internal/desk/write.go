package desk

import (
	"bytes"
	"context"
	"errors"
	"mime"
	"net/http"
	"path"
	"slices"
	"strings"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/cmd/lotcost/internal/show"
	"lotcost/landed"
	"lotcost/landed/bid"
)

// offer is something of a haul that can be written into a file.
type offer struct {
	Of, As, What string
	fits         func(h *haul) bool
	make         func(h *haul) (show.Result, error)
}

var offers = []offer{
	{"costs", "xlsx", "what it cost, as a workbook", (*haul).isBought, costsOf},
	{"costs", "html", "as a page", (*haul).isBought, costsShown},
	{"costs", "csv", "as a list for a spreadsheet", (*haul).isBought, costsOf},
	{"prices", "xlsx", "what each piece must sell for, as a workbook", (*haul).isSold, pricesOf},
	{"bid", "html", "a page to carry to the sale", (*haul).hasOpen, bidOf},
	{"labels", "html", "labels for what is for sale", (*haul).isSold, labelsOf},
}

func (h *haul) isBought() bool { return h.statement != nil }
func (h *haul) isSold() bool {
	return h.statement != nil && h.File.Selling != nil && len(h.File.OnlyBought().Lots) > 0
}

// Offers are those that the haul has anything for.
func (h *haul) Offers() []offer {
	if h.File == nil {
		return nil
	}
	return slices.DeleteFunc(slices.Clone(offers), func(o offer) bool { return !o.fits(h) })
}

// costsOf is what was bought and what it cost. It calls the file as the book does, by its path in
// the folder: where that lies is nobody's business who is handed a list.
func costsOf(h *haul) (show.Result, error) {
	return show.Split(h.calledBy(h.statement)), nil
}

// costsShown is [costsOf] for people: lots and pieces are called what was typed of them.
func costsShown(h *haul) (show.Result, error) {
	return show.Split(h.calledBy(h.ShownStatement())), nil
}

func (h *haul) calledBy(st *landed.Statement) *landed.Statement {
	other, of := *st, *st.Haul
	of.At.File, other.Haul = h.Name, &of
	return &other
}

// pricesOf is what the pieces for sale must bring, by ids: what is typed into the workbook is taken
// back by them.
func pricesOf(h *haul) (show.Result, error) {
	r, err := h.pricesIn(h.File.Haul)
	if err != nil {
		return show.Result{}, err
	}
	return show.Price(r, h.File.Open()...), nil
}

// bidOf is the bid for the open lot, with every step of its ladder; of several the evening, with
// the ways in which it may go.
func bidOf(h *haul) (show.Result, error) {
	if len(h.File.Open()) > 1 {
		return tonightOf(h)
	}
	_, result, err := h.judged("", "", nil)
	return result, err
}

func tonightOf(h *haul) (show.Result, error) {
	ctx, stop := context.WithTimeout(context.Background(), longest)
	defer stop()
	e, err := h.tonight(ctx)
	if err != nil {
		return show.Result{}, err
	}
	var courses []bid.Course
	if e.Plan != nil {
		courses, err = bid.Courses(h.Shown().Haul, h.Shown().Plans, bid.Options{Goes: going(ctx)}, e, show.MostCourses)
	}
	return show.Evening(h.File.Title, e, courses), err
}

func labelsOf(h *haul) (show.Result, error) {
	r, err := h.prices()
	if err != nil {
		return show.Result{}, err
	}
	if what := show.TooManyLabels(r); what != "" {
		return show.Result{}, errors.New(what)
	}
	return show.Labels(r, h.File.Selling.CostWord), nil
}

// write hands something of a haul over as a file, which goes where the browser puts it.
func (d *Desk) write(w http.ResponseWriter, r *http.Request) error {
	h, err := d.read(r.PathValue("name"))
	if err != nil {
		return err
	}
	of, as := r.URL.Query().Get("of"), r.URL.Query().Get("as")
	all := h.Offers()
	i := slices.IndexFunc(all, func(o offer) bool { return o.Of == of && o.As == as })
	if i < 0 {
		return &refusal{http.StatusNotFound, "There is nothing of that kind to write: look at what is wrong in the file first."}
	}
	result, err := all[i].make(h)
	if err == nil {
		err = handOver(w, strings.TrimSuffix(path.Base(h.Name), ".yaml")+"-"+of, as, h.Comma(), result)
	}
	if err != nil {
		return &refusal{http.StatusUnprocessableEntity, "It was not written. " + said(err)}
	}
	return nil
}

// handOver answers with a result as a file of a kind. On an error nothing was answered.
func handOver(w http.ResponseWriter, name, as string, comma bool, r show.Result) error {
	var out bytes.Buffer
	format, _ := sheet.ParseFormat(as)
	if err := r.Write(&out, format, comma, sheet.Terminal{}); err != nil {
		return err
	}
	w.Header().Set("Content-Type", mime.TypeByExtension("."+as))
	w.Header().Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": name + "." + as}))
	_, err := w.Write(out.Bytes())
	return err
}
