package diagnosis

import "knobwright/internal/words"

// Say puts a verdict into sentences: what it comes to, what cannot be told apart and where to measure then, what to do next.
func (s *Session) Say(v Verdict, l words.Lang) []words.Text {
	var out []words.Text
	switch {
	case v.Right && len(v.Groups) == 0:
		return []words.Text{words.T("verdict.right")}
	case len(v.Groups) == 0:
		return []words.Text{words.T("verdict.none")}
	case v.Sure:
		out = append(out, words.T("verdict.sure"))
	default:
		out = append(out, words.T("verdict.likely", "n", len(v.Groups)))
	}
	if v.Pairs {
		out = append(out, words.T("verdict.pair"))
	}
	g := v.Groups[0]
	if n := len(g.Causes); n > 1 {
		if a, ok := s.Apart(g); ok {
			out = append(out, words.T("verdict.apart", "n", n, "measure", l.Say(s.m.AskSay(a.Act))))
		} else {
			out = append(out, words.T("verdict.alike", "n", n))
		}
	}
	if a, ok := s.Next(); ok {
		out = append(out, words.T("verdict.next", "act", l.Say(s.m.AskSay(a.Act))))
	}
	return out
}
