package schedule

import "fmt"

// cal is a calendar made ready: windows, the first beginning in [0, period), in order; they come again in both directions of time.
type cal struct {
	windows []Window
	period  int
	longest int
	over    int // how many windows end after the period
}

// ever is longer than anything.
const ever = 1 << 50

func newCal(c Calendar) (cal, error) {
	if len(c.Windows) == 0 && c.Period == 0 {
		return cal{windows: []Window{{-ever, ever}}, longest: ever}, nil
	}
	out := cal{windows: c.Windows, period: c.Period}
	if c.Period <= 0 || c.Period > most || len(c.Windows) == 0 {
		return out, &InputError{"a calendar wants windows and a period"}
	}
	at := 0
	for _, w := range c.Windows {
		if w.From < at || w.To <= w.From || w.To > c.Period {
			return out, &InputError{fmt.Sprintf("the session from %d to %d does not come after the one before it, within the period", w.From, w.To)}
		}
		at = w.To
		out.longest = max(out.longest, w.To-w.From)
	}
	return out, nil
}

// window gives a session by its number; numbers below 0 lie before the start.
func (c *cal) window(k int) Window {
	if c.period == 0 {
		return c.windows[0]
	}
	n := len(c.windows)
	q := floor(k, n)
	w := c.windows[k-q*n]
	return Window{w.From + q*c.period, w.To + q*c.period}
}

// find gives the first session that ends after a time.
func (c *cal) find(t int) int {
	if c.period == 0 {
		return 0
	}
	n := len(c.windows)
	q := floor(t, c.period)
	for k := q*n - c.over; ; k++ { // windows of the period before may reach over
		if c.window(k).To > t {
			return k
		}
	}
}

// place finds the earliest time for a job, not before t. It gives the first and the last session too.
func (c *cal) place(t int, j *Job) (start, end, first, last int) {
	k := c.find(t)
	if j.Work == 0 {
		return t, t, k, k
	}
	w := c.window(k)
	need := j.Work
	if j.Split {
		need = min(j.Work, max(1, j.Least), c.longest)
	}
	for w.To-max(t, w.From) < need {
		k++
		w = c.window(k)
	}
	start, first = max(t, w.From), k
	left := j.Work - (w.To - start)
	for left > 0 {
		k++
		w = c.window(k)
		left -= w.To - w.From
	}
	return start, w.To + left, first, k
}

// mirror is the calendar with time running backwards from T.
func (c *cal) mirror(t int) cal {
	if c.period == 0 {
		return *c
	}
	out := cal{period: c.period, longest: c.longest}
	// The mirrored windows that begin at 0 or later, as many as there are in a period.
	k := c.find(t - 1)
	for c.window(k).To > t {
		k--
	}
	for range c.windows {
		w := c.window(k)
		out.windows = append(out.windows, Window{t - w.To, t - w.From})
		k--
	}
	for out.windows[0].From >= c.period {
		for i := range out.windows {
			out.windows[i].From -= c.period
			out.windows[i].To -= c.period
		}
	}
	for _, w := range out.windows {
		if w.To > c.period {
			out.over++
		}
	}
	return out
}

func floor(a, b int) int {
	q := a / b
	if a%b < 0 {
		q--
	}
	return q
}
