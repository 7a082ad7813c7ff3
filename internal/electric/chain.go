package electric

import "fmt"

// ChainAnswer is what a daisy chain does: a wire that runs from tap to tap.
type ChainAnswer struct {
	Volt  []float64 // drop from the beginning to each tap, V
	Amp   []float64 // current in each segment, away from the beginning, A
	Worst int       // tap with the largest drop; -1 without taps
}

// Chain finds the drops along a wire that is fed at its beginning: segment i, of ohm[i], leads to tap i, where amp[i] are taken.
// Every segment carries all that is taken behind it.
func Chain(ohm, amp []float64) (ChainAnswer, error) {
	if len(ohm) != len(amp) {
		return ChainAnswer{}, fmt.Errorf("a chain has a segment for each tap; here are %d segments and %d taps", len(ohm), len(amp))
	}
	return along(ohm, amp, 0)
}

// Ring finds the drops along a wire that is fed at both ends: a chain closed by one more segment, back to the beginning, so that
// there are segments one more than taps.
func Ring(ohm, amp []float64) (ChainAnswer, error) {
	if len(ohm) != len(amp)+1 {
		return ChainAnswer{}, fmt.Errorf("a ring has one segment more than taps; here are %d segments and %d taps", len(ohm), len(amp))
	}
	// The current that comes from the far end is the one at which both ends are at the same voltage.
	total, sum := 0.0, 0.0
	open, err := along(ohm[:len(amp)], amp, 0)
	if err != nil {
		return ChainAnswer{}, err
	}
	for _, r := range ohm {
		total += r
	}
	if err := within("resistance of a segment", "ohm", ohm[len(amp)], 0, most); err != nil {
		return ChainAnswer{}, err
	}
	if len(open.Volt) > 0 {
		sum = open.Volt[len(open.Volt)-1]
	}
	back := 0.0
	if total > 0 {
		back = sum / total
	}
	a, err := along(ohm[:len(amp)], amp, back)
	a.Amp = append(a.Amp, -back)
	return a, err
}

// along walks a chain into whose end back A are fed.
func along(ohm, amp []float64, back float64) (ChainAnswer, error) {
	a := ChainAnswer{Worst: -1}
	flow := -back
	for i := range amp {
		if err := within("resistance of a segment", "ohm", ohm[i], 0, most); err != nil {
			return ChainAnswer{}, err
		}
		if err := within("current of a tap", "A", amp[i], -most, most); err != nil {
			return ChainAnswer{}, err
		}
		flow += amp[i]
	}
	volt := 0.0
	for i := range amp {
		volt += flow * ohm[i]
		a.Volt, a.Amp = append(a.Volt, volt), append(a.Amp, flow)
		flow -= amp[i]
		if a.Worst < 0 || volt > a.Volt[a.Worst] {
			a.Worst = i
		}
	}
	return a, nil
}
