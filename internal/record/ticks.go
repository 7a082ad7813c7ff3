package record

// SetTick ticks a step off, or a line of it; nil takes the tick back.
func (r *Record) SetTick(id string, t *Tick) {
	if t == nil {
		delete(r.Ticks, id)
		return
	}
	if r.Ticks == nil {
		r.Ticks = map[string]Tick{}
	}
	r.Ticks[id] = *t
}
