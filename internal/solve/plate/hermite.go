package plate

// Shape functions along one side of a cell of length a, at t = 0…1: the cubic Hermites in the order value and slope at the
// near end, value and slope at the far end, with their first and second derivatives by length; and the two linear ones.
type basis struct {
	h, d, e [4]float64 // value, slope, curvature
	l       [2]float64
	g       [2]float64 // slopes of the linear ones
}

func (b *basis) set(t, a float64) {
	u := 1 - t
	b.h = [4]float64{u * u * (1 + 2*t), a * t * u * u, t * t * (3 - 2*t), -a * t * t * u}
	b.d = [4]float64{-6 * t * u / a, u * (1 - 3*t), 6 * t * u / a, t * (3*t - 2)}
	b.e = [4]float64{(12*t - 6) / (a * a), (6*t - 4) / a, (6 - 12*t) / (a * a), (6*t - 2) / a}
	b.setLinear(t, a)
}

func (b *basis) setLinear(t, a float64) {
	b.l = [2]float64{1 - t, t}
	b.g = [2]float64{-1 / a, 1 / a}
}

// table holds integrals along one axis: of products of two Hermites with p and q derivatives, of products of two linear
// functions, and of single ones.
type table struct {
	h00, h11, h22, h20, h21, h10 [16]float64 // [4·i+j]: i has the first number of derivatives
	l00, l11, l10                [4]float64
	h                            [4]float64
	l                            [2]float64
	length                       float64
}

// add adds a point of weight w; aniso says whether the mixed products that only a slanting grain needs are wanted.
func (t *table) add(b *basis, w float64, aniso bool) {
	for i := range 4 {
		hi, di, ei := w*b.h[i], w*b.d[i], w*b.e[i]
		t.h[i] += hi
		for j := range 4 {
			k := 4*i + j
			t.h20[k] += ei * b.h[j]
			if j > i {
				continue
			}
			t.h00[k] += hi * b.h[j]
			t.h11[k] += di * b.d[j]
			t.h22[k] += ei * b.e[j]
		}
	}
	if aniso {
		for i := range 4 {
			for j := range 4 {
				t.h21[4*i+j] += w * b.e[i] * b.d[j]
				t.h10[4*i+j] += w * b.d[i] * b.h[j]
			}
		}
	}
	t.addLinear(b, w)
}

// addLinear adds a point to the tables of the linear functions only.
func (t *table) addLinear(b *basis, w float64) {
	for i := range 2 {
		t.l[i] += w * b.l[i]
		for j := range 2 {
			t.l00[2*i+j] += w * b.l[i] * b.l[j]
			t.l11[2*i+j] += w * b.g[i] * b.g[j]
			t.l10[2*i+j] += w * b.g[i] * b.l[j]
		}
	}
	t.length += w
}

// mirror fills the upper halves of the symmetric tables.
func (t *table) mirror() {
	for i := range 4 {
		for j := range i {
			t.h00[4*j+i] = t.h00[4*i+j]
			t.h11[4*j+i] = t.h11[4*i+j]
			t.h22[4*j+i] = t.h22[4*i+j]
		}
	}
}

// gauss holds the four-point rule on 0…1.
var gauss4 = [4][2]float64{
	{0.06943184420297371, 0.17392742256872693},
	{0.33000947820757187, 0.32607257743127307},
	{0.66999052179242813, 0.32607257743127307},
	{0.93056815579702629, 0.17392742256872693},
}

// whole gives the integrals over a whole side of length a.
func whole(a float64, aniso bool) *table {
	t := new(table)
	var b basis
	for _, q := range gauss4 {
		b.set(q[0], a)
		t.add(&b, q[1]*a, aniso)
	}
	t.mirror()
	return t
}

// linear gives the integrals of the linear functions over a whole side of length a.
func linear(a float64) *table {
	t := new(table)
	var b basis
	for _, q := range gauss2 {
		b.setLinear(q[0], a)
		t.addLinear(&b, q[1]*a)
	}
	return t
}
