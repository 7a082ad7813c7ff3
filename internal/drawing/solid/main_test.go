package solid

import (
	"os"
	"testing"

	"knobwright/internal/thorough"
)

func TestMain(m *testing.M) {
	thorough.Draws(25)
	os.Exit(m.Run())
}
