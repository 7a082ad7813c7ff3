package pack

// countVector holds how often each item is used, packed, with a spare bit above each number.
type countVector [vectorWords]uint64

const vectorWords = 4

// limits says how counts are packed, and which counts are too high.
type limits struct {
	fields []field
	spare  countVector // added to a vector, it raises the spare bit exactly of counts above their limit
	guard  countVector // the spare bits
	words  int         // in use
}

// field is the place of the count of an item.
type field struct{ word, shift uint }

// newLimits returns false if the counts do not find room.
func newLimits(items []item, w, h int) (l limits, ok bool) {
	at := uint(0)
	for _, it := range items {
		limit := capacity(it, w, h)
		n := uint(1)
		for 1<<n <= limit {
			n++
		}
		if at+n+1 > 64 {
			l.words, at = l.words+1, 0
		}
		if l.words == vectorWords {
			return l, false
		}
		l.fields = append(l.fields, field{uint(l.words), at})
		l.spare[l.words] |= uint64(1<<n-1-limit) << at
		l.guard[l.words] |= 1 << (at + n)
		at += n + 1
	}
	l.words++
	return l, true
}

// capacity is how often an item can be on a panel at most, by its count and by area.
func capacity(it item, w, h int) int {
	limit := w * h / it.area()
	if it.count != Unlimited {
		limit = min(limit, it.count)
	}
	return limit
}

func (l *limits) one(item int) (v countVector) {
	v[l.fields[item].word] = 1 << l.fields[item].shift
	return v
}

// sum adds two vectors that keep the limits, and tells whether their sum does.
func (l *limits) sum(a, b *countVector) (v countVector, ok bool) {
	for i := range l.words {
		v[i] = a[i] + b[i]
		if (v[i]+l.spare[i])&l.guard[i] != 0 {
			return v, false
		}
	}
	return v, true
}
