package diagnosis

import "slices"

// Acts lists the acts of the test sheet, in its order.
func (m *Model) Acts() []Act { return slices.Clone(m.acts) }
