package diagnosis

func (m *Model) Acts() []Act { return m.acts }
func (s *Session) Debug(log func(...any)) {
	for _, e := range s.seen {
		if e.total < -0.9 || len(e.odd) > 0 {
			log("ODD", e.seen.Act, e.total, e.odd, e.order, e.lamp, e.seen.Lamp)
			for _, o := range e.odd {
				log("   ", o, e.looks.of[o], e.fits[o])
			}
		}
	}
}
