package sparse

// dot42 gives the eight dot products of four rows with two others, all of one length: the innermost loop of the factor.
// Eight sums and six operands just fit the sixteen registers.
func dot42(a0, a1, a2, a3, b0, b1 []float64) (s00, s01, s10, s11, s20, s21, s30, s31 float64) {
	n := len(b0)
	a0, a1, a2, a3, b1 = a0[:n], a1[:n], a2[:n], a3[:n], b1[:n]
	for k, y0 := range b0 {
		y1 := b1[k]
		x := a0[k]
		s00 += x * y0
		s01 += x * y1
		x = a1[k]
		s10 += x * y0
		s11 += x * y1
		x = a2[k]
		s20 += x * y0
		s21 += x * y1
		x = a3[k]
		s30 += x * y0
		s31 += x * y1
	}
	return
}

// dot12 gives the dot products of one row with two others.
func dot12(a, b0, b1 []float64) (s0, s1 float64) {
	n := len(a)
	b0, b1 = b0[:n], b1[:n]
	for k, x := range a {
		s0 += x * b0[k]
		s1 += x * b1[k]
	}
	return
}

func dot(a, b []float64) (s float64) {
	b = b[:len(a)]
	for k, x := range a {
		s += x * b[k]
	}
	return
}

// rows24 gives the products of two rows with four interleaved columns, len(y) = 4·len(a).
func rows24(a, b, y []float64) (s0, s1, s2, s3, t0, t1, t2, t3 float64) {
	b = b[:len(a)]
	y = y[:4*len(a)]
	k := 0
	for ; k+1 < len(a); k += 2 { // two columns at a time
		z := y[4*k : 4*k+8 : 4*k+8]
		u, v := a[k], b[k]
		w := z[0]
		s0 += u * w
		t0 += v * w
		w = z[1]
		s1 += u * w
		t1 += v * w
		w = z[2]
		s2 += u * w
		t2 += v * w
		w = z[3]
		s3 += u * w
		t3 += v * w
		u, v = a[k+1], b[k+1]
		w = z[4]
		s0 += u * w
		t0 += v * w
		w = z[5]
		s1 += u * w
		t1 += v * w
		w = z[6]
		s2 += u * w
		t2 += v * w
		w = z[7]
		s3 += u * w
		t3 += v * w
	}
	if k < len(a) {
		z := y[4*k : 4*k+4 : 4*k+4]
		u, v := a[k], b[k]
		s0 += u * z[0]
		t0 += v * z[0]
		s1 += u * z[1]
		t1 += v * z[1]
		s2 += u * z[2]
		t2 += v * z[2]
		s3 += u * z[3]
		t3 += v * z[3]
	}
	return
}

// rows14 gives the products of a row with four interleaved columns.
func rows14(a, y []float64) (s0, s1, s2, s3 float64) {
	y = y[:4*len(a)]
	for _, u := range a {
		if len(y) < 4 {
			break
		}
		s0 += u * y[0]
		s1 += u * y[1]
		s2 += u * y[2]
		s3 += u * y[3]
		y = y[4:]
	}
	return
}

// cols24 gives the products of two columns next to each other with four interleaved ones: column entries lie m apart, one
// for each four numbers of y.
func cols24(l []float64, m int, y []float64) (s0, s1, s2, s3, t0, t1, t2, t3 float64) {
	at := 0
	for len(y) >= 8 { // two rows at a time
		c := l[at : at+m+2 : at+m+2]
		u, v := c[0], c[1]
		w := y[0]
		s0 += u * w
		t0 += v * w
		w = y[1]
		s1 += u * w
		t1 += v * w
		w = y[2]
		s2 += u * w
		t2 += v * w
		w = y[3]
		s3 += u * w
		t3 += v * w
		u, v = c[m], c[m+1]
		w = y[4]
		s0 += u * w
		t0 += v * w
		w = y[5]
		s1 += u * w
		t1 += v * w
		w = y[6]
		s2 += u * w
		t2 += v * w
		w = y[7]
		s3 += u * w
		t3 += v * w
		at += 2 * m
		y = y[8:]
	}
	if len(y) >= 4 {
		u, v := l[at], l[at+1]
		s0 += u * y[0]
		t0 += v * y[0]
		s1 += u * y[1]
		t1 += v * y[1]
		s2 += u * y[2]
		t2 += v * y[2]
		s3 += u * y[3]
		t3 += v * y[3]
	}
	return
}

// cols14 gives the products of one column with four interleaved ones.
func cols14(l []float64, m int, y []float64) (s0, s1, s2, s3 float64) {
	for len(y) >= 4 && len(l) >= 1 {
		u := l[0]
		s0 += u * y[0]
		s1 += u * y[1]
		s2 += u * y[2]
		s3 += u * y[3]
		y = y[4:]
		if len(l) < m {
			break
		}
		l = l[m:]
	}
	return
}

// gram42 adds to g the products of columns 0..3 of y with columns c and c+1 of z, both interleaved by four.
func gram42(y, z []float64, c int) (s00, s01, s10, s11, s20, s21, s30, s31 float64) {
	z = z[min(c, len(z)):]
	for len(y) >= 4 && len(z) >= 2 {
		b0, b1 := z[0], z[1]
		x := y[0]
		s00 += x * b0
		s01 += x * b1
		x = y[1]
		s10 += x * b0
		s11 += x * b1
		x = y[2]
		s20 += x * b0
		s21 += x * b1
		x = y[3]
		s30 += x * b0
		s31 += x * b1
		y = y[4:]
		z = z[min(4, len(z)):]
	}
	return
}
