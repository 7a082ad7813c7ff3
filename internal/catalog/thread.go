package catalog

import "math"

// threads are the bushes of the trade; the crests of a real one measure a little less.
var threads = []struct {
	size         string
	major, pitch float64
}{
	{"M5x0.5", 5, 0.5}, {"M6x0.5", 6, 0.5}, {"M6x0.75", 6, 0.75}, {"1/4-40 UNS", 6.35, 0.635}, {"1/4-32 UNEF", 6.35, 0.79375}, {"M7x0.75", 7, 0.75},
	{"M8x0.75", 8, 0.75}, {"M8x1", 8, 1}, {"M9x0.75", 9, 0.75}, {"3/8-32 UNEF", 9.525, 0.79375}, {"M10x0.75", 10, 0.75}, {"M10x1", 10, 1},
	{"15/32-32 UNS", 11.906, 0.79375}, {"M12x0.75", 12, 0.75}, {"M12x1", 12, 1}, {"M14x1", 14, 1}, {"M16x1", 16, 1}, {"M19x1", 19, 1}, {"M20x1", 20, 1},
	{"M22x1", 22, 1}, {"M22x1.5", 22, 1.5}, {"M24x1", 24, 1}, {"M25x1", 25, 1}, {"M28x1", 28, 1}, {"M30x1", 30, 1}, {"M30x1.5", 30, 1.5},
}

// threadName names the thread that a diameter over the crests belongs to; pitch 0 means not known. Of several threads the
// pitch decides. It is empty when none fits or more than one does.
func threadName(major, pitch float64) (size string, nominal, p float64) {
	best, second := math.Inf(1), math.Inf(1) // how far the pitch is off
	for _, t := range threads {
		if d := t.major - major; d < -0.06 || d > 0.2 {
			continue
		}
		off := 0.0
		if pitch > 0 {
			off = math.Abs(pitch - t.pitch)
		}
		if off < best {
			best, second = off, best
			size, nominal, p = t.size, t.major, t.pitch
		} else {
			second = min(second, off)
		}
	}
	if best > 0.06 || second-best < 0.02 {
		return "", 0, 0
	}
	return size, nominal, p
}
