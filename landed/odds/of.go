package odds

const (
	defaultPoints = 1 << 18
	defaultSteps  = 24_000_000
	leastPoints   = 1 << maxRisks // one for each way that risks can happen
	mostPoints    = 1 << 26
	// exactShare is what part of the steps may go into exact chances, as each is
	// more work than a multiplication.
	exactShare = 6
)

// Of gives the distribution of what all groups bring together, by convolution
// in minor units. The order of groups makes no difference.
//
// Chances are exact where the work allows, and so are amounts; where not, the
// result says how far it may be off (see the package comment).
//
// It returns a [*LimitError] for no groups at all, MaxPoints outside 64 to
// 67108864 or a negative MaxSteps, [money.ErrOverflow] where the greatest and the
// least amounts of all pieces may sum to more than 2^60 minor units, and a
// [*PlaceError] around what is wrong with a group: a [*ChanceError] for a chance
// below 0 or above 100 % or with more than 18 decimals, a [*SumError] where the
// chances do not come to 100 %, a [*money.MismatchError], or a [*LimitError] where
// there are no pieces or, in all, more than a million, Keep is negative or some
// are kept of more pieces than can be reckoned.
func Of(groups []Group, opts Options) (*Distribution, error) {
	return Under(nil, func([]bool) ([]Group, error) { return groups, nil }, opts)
}

// Under gives the distribution of what groups bring when it hangs on shared
// risks: groups tells what there is when just those risks happen that it is
// told, by their place. It is asked once for each combination that has a
// chance; the slice is only good during the call.
//
// The errors are those of [Of] and of groups, and a [*PlaceError] around a
// [*ChanceError] for the chance of a risk or a [*LimitError] for more than six.
func Under(risks []Risk, groups func(happens []bool) ([]Group, error), opts Options) (*Distribution, error) {
	opts, err := opts.withDefaults()
	if err != nil {
		return nil, err
	}
	c := checker{laws: map[string]*law{}}
	all, err := c.worlds(risks, groups)
	if err != nil {
		return nil, err
	}
	opts.MaxPoints = max(1, opts.MaxPoints/len(all))
	opts.MaxSteps /= int64(len(all))
	d := &Distribution{currency: c.currency}
	d.setMoments(all)
	d.setChances(all, parts(all, opts))
	return d, nil
}

func (o Options) withDefaults() (Options, error) {
	if o.MaxPoints == 0 {
		o.MaxPoints = defaultPoints
	}
	if o.MaxSteps == 0 {
		o.MaxSteps = defaultSteps
	}
	if o.MaxPoints < leastPoints || o.MaxPoints > mostPoints {
		return o, &LimitError{What: "most points", Given: int64(o.MaxPoints), Least: leastPoints, Most: mostPoints}
	}
	if o.MaxSteps < 0 {
		return o, &LimitError{What: "most steps", Given: o.MaxSteps, Least: 0, Most: 1<<63 - 1}
	}
	return o, nil
}

// parts reckons every world, all without rounding or none.
func parts(all []world, opts Options) []part {
	plans, exact := make([]plan, len(all)), true
	for i, w := range all {
		plans[i] = w.exactPlan(uint64(opts.MaxPoints))
		exact = exact && plans[i].fits && plans[i].steps <= uint64(opts.MaxSteps)/exactShare
	}
	list, a := make([]part, len(all)), &adder{}
	for i, w := range all {
		if exact {
			list[i] = w.exact(plans[i])
		} else {
			list[i] = w.within(a, opts)
		}
	}
	return list
}

// within reckons the world on the finest grid that keeps to the limits, in the
// buffers of an adder.
func (w world) within(a *adder, opts Options) part {
	w = w.simpler(uint64(opts.MaxSteps))
	loads := w.loads()
	for step := w.gridStep(loads, opts.MaxPoints, uint64(opts.MaxSteps)); ; step *= 2 {
		if p, ok := w.fixed(a, step, opts.MaxPoints, loads); ok {
			return p
		}
	}
}
