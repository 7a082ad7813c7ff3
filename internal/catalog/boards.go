package catalog

// BoardIDs lists the names of all circuit boards, in the order of PartIDs. Built-in records of other classes are not read for it.
func (c *Catalog) BoardIDs() []string {
	var out []string
	for _, id := range c.parts.ids {
		if own, ok := c.parts.own[id]; ok {
			if own.Class == ModuleBrd {
				out = append(out, id)
			}
		} else if c.parts.text[id].file == "parts/"+string(ModuleBrd)+".yaml" {
			out = append(out, id)
		}
	}
	return out
}
