import type { Act, ActData, BenchBegin, BenchData, BenchSeen, CutData, LinkData, RoomsData, ClashData, Edit, LookData, PaperData, PartsData, CardData, CardRequest, PressData, RibsData, BentData, BoxData, SolidData, StepsData, TryData, WiringData } from './types'

/** What the server would not do, as a sentence. */
export class Refused extends Error {
  constructor(
    say: string,
    readonly clash?: ClashData,
  ) {
    super(say)
  }
}

async function ask<T>(path: string, body?: unknown, signal?: AbortSignal): Promise<T> {
  let r: Response
  try {
    r = await fetch(
      path,
      body === undefined ? { signal } : { method: 'POST', body: JSON.stringify(body), headers: { 'Content-Type': 'application/json' }, signal },
    )
  } catch (e) {
    if (e instanceof DOMException && e.name === 'AbortError') throw e
    throw new Refused('The program does not answer. Start knobwright open again; nothing is lost.')
  }
  const data = await r.json().catch(() => ({}))
  if (!r.ok) throw new Refused(data.say ?? 'The program could not do that.', r.status === 409 && 'theirs' in data ? (data as ClashData) : undefined)
  return data as T
}

export const look = () => ask<LookData>('/api/look')
export const edit = (say: string, edits: Edit[]) => ask<LookData>('/api/edit', { say, edits })
export const act = (a: Act) => ask<ActData>('/api/act', a)
export const tryOut = (edits: Edit[], signal?: AbortSignal) => ask<TryData>('/api/try', { say: '', edits }, signal)
export const tryAct = (a: Act, cut?: string, had?: number) => ask<TryData>('/api/try', { say: '', edits: [], act: a, cut, had })
export const cut = (of: string) => ask<CutData>('/api/cut?of=' + encodeURIComponent(of))
export const rooms = (of: string) => ask<RoomsData>('/api/rooms?of=' + encodeURIComponent(of))
export const schema = () => ask<import('./schema').Schema>('/api/schema')
export const names = () => ask<import('./schema').Names>('/api/names')
export const share = () => ask<LinkData>('/api/share', {})
export const text = (rev: number, t: string) => ask<LookData>('/api/text', { rev, text: t })
/** Takes the last step back; of = only if the text is still that of this revision. */
export const undo = (of = 0) => ask<LookData>('/api/undo', { rev: of })
export const redo = () => ask<LookData>('/api/redo', {})
export const fix = (rev: number, finding: number, n: number) => ask<LookData>('/api/fix', { rev, finding, fix: n })
export const parts = (q: string, cls = '', hole = '') => ask<PartsData>('/api/parts?' + new URLSearchParams({ q, class: cls, hole }))
export const part = (id: string) => ask<{ svg: string }>('/api/parts/' + encodeURIComponent(id))
export const card = (q: CardRequest) => ask<CardData>('/api/card', q)
export const saveCard = (q: CardRequest) => ask<ActData>('/api/card/save', q)
export const wiring = () => ask<WiringData>('/api/wiring')
export const press = (edits: Edit[], whole: boolean) => ask<PressData>('/api/press', { edits, whole })
export const pressRibs = (face: number, reach: number, fresh: boolean) => ask<RibsData>('/api/press/ribs', { face, reach, fresh })
export const bent = (control: string) => ask<BentData>('/api/press/bent?control=' + encodeURIComponent(control))
export const box = () => ask<BoxData>('/api/box')
export const solid = () => ask<SolidData>('/api/solid')
export const steps = (lang: string) => ask<StepsData>('/api/steps?lang=' + encodeURIComponent(lang))
export const tick = (id: string, done: boolean, note: string, lang: string) => ask<StepsData>('/api/tick', { id, done, note, lang })
export const bench = () => ask<BenchData>('/api/bench')
export const benchBegin = (b: BenchBegin) => ask<BenchData>('/api/bench/begin', b)
export const benchSeen = (s: BenchSeen) => ask<BenchData>('/api/bench/seen', s)
export const benchFree = (s: BenchSeen) => ask<BenchData>('/api/bench/free', s)
export const benchTake = (n: number) => ask<BenchData>('/api/bench/take', { n })
export const papers = () => ask<PaperData[]>('/api/papers')
