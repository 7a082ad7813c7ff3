package electric

import "testing"

// A twelve-way rotary switch, pull-up chosen too.
func BenchmarkLadderOneAtATime(b *testing.B) {
	for b.Loop() {
		if _, err := Ladder(LadderQuestion{Kind: OneAtATime, Contacts: 12}); err != nil {
			b.Fatal(err)
		}
	}
}

// Three buttons in any combination, all choices from E24 over three decades.
func BenchmarkLadderAnyCombination(b *testing.B) {
	for b.Loop() {
		if _, err := Ladder(LadderQuestion{Kind: AnyCombination, Contacts: 3}); err != nil {
			b.Fatal(err)
		}
	}
}
