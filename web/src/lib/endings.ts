/** A text with plain ends of lines, as the pane holds it. */
export const flat = (text: string) => text.replace(/\r\n?/g, '\n')

/** Ends of lines of `now` as they are in `base`: lines that stay keep theirs, new ones get the most common. */
export function ended(now: string, base: string): string {
  if (!base.includes('\r')) return now
  const had = base.split(/(?<=\r\n|\n|\r(?!\n))/)
  const has = now.split(/(?<=\n)/)
  const bare = (line: string | undefined) => line?.replace(/[\r\n]+$/, '')
  const same = (a: string | undefined, b: string | undefined) => a !== undefined && b !== undefined && bare(a) === bare(b) && /[\r\n]$/.test(a) === /\n$/.test(b)
  let [first, last] = [0, 0]
  while (same(had[first], has[first])) first++
  while (last < Math.min(had.length, has.length) - first && same(had[had.length - 1 - last], has[has.length - 1 - last])) last++
  const count = (end: string) => had.filter((l) => l.endsWith(end)).length
  const [both, feed] = [count('\r\n'), count('\n') - count('\r\n')]
  const most = both >= feed && both > 0 ? '\r\n' : feed > 0 ? '\n' : '\r'
  const fresh = has.slice(first, has.length - last).map((l) => (l.endsWith('\n') ? bare(l) + most : l))
  return [...had.slice(0, first), ...fresh, ...had.slice(had.length - last)].join('')
}
