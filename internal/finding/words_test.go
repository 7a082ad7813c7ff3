package finding

import "testing"

func TestCapital(t *testing.T) {
	for in, want := range map[string]string{"": "", "the rib": "The rib", "GO": "GO", "état": "État", "ωmega": "Ωmega", "12 fixings": "12 fixings", "漢字": "漢字", "\xff": "\xff"} {
		if got := Capital(in); got != want {
			t.Errorf("%q became %q, want %q", in, got, want)
		}
	}
}
