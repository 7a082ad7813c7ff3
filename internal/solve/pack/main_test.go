package pack

import (
	"os"
	"testing"

	"knobwright/internal/thorough"
)

func TestMain(m *testing.M) {
	thorough.Draws(30)
	os.Exit(m.Run())
}
