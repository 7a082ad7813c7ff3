const ns = 'http://www.w3.org/2000/svg'

/** Keeps the elements of an svg as a list of their texts has them: those that were there stay, what is new is read in one go. */
export function elements(svg: SVGElement, parts: string[]) {
  let made: [string, Element][] = []
  function update(parts: string[]) {
    const had = new Map<string, Element[]>()
    for (const [s, e] of made) had.set(s, [...(had.get(s) ?? []), e])
    const fresh: string[] = []
    const kept = parts.map((s) => {
      const e = had.get(s)?.shift()
      if (!e) fresh.push(s)
      return e
    })
    const read = document.createElementNS(ns, 'svg')
    read.innerHTML = fresh.join('')
    const news = [...read.children]
    for (const es of had.values()) for (const e of es) e.remove()
    let at: Element | null = svg.firstElementChild
    made = parts.map((s, i) => {
      const e = kept[i] ?? news.shift()!
      if (e === at) at = at.nextElementSibling
      else svg.insertBefore(e, at)
      return [s, e]
    })
  }
  update(parts)
  return { update }
}
