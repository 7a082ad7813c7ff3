import type { Completion, CompletionContext, CompletionResult } from '@codemirror/autocomplete'
import type { Text } from '@codemirror/state'

/** A part of the schema of the panel file, as far as help while typing needs it. */
export interface Schema {
  $ref?: string
  $defs?: Record<string, Schema>
  description?: string
  type?: string | string[]
  enum?: (string | number | boolean)[]
  const?: unknown
  properties?: Record<string, Schema>
  additionalProperties?: Schema | boolean
  items?: Schema
  prefixItems?: Schema[]
  anyOf?: Schema[]
  oneOf?: Schema[]
}

/** Names that may stand somewhere, with what they mean. */
export type Names = Record<string, { name: string; title: string }[]>

/** Where in the tree of the text a place is. */
export interface Place {
  path: string[] // keys from the top; of a list: *
  key: boolean // a key is being written there, else a value
  from: number // beginning of the word
  word: string
  had: string[] // keys that stand beside it already, of the same braces
}

const keyAt = /^(\s*)((?:- )*)("[^"]*"|'[^']*'|[^\s#:{}[\],"'][^:{}[\],#]*?)\s*:(?=\s|$)/

/** The tree path of a place, from indentation, dashes and brackets; null within a comment. */
export function placeAt(doc: Text, pos: number): Place | null {
  let at = doc.lineAt(pos)
  // brackets that were opened on an earlier line
  let open = 0
  for (let n = at.number - 1; n > 0 && at.number - n < 40; n--) {
    const t = doc.line(n).text
    open += balance(t)
    if (open > 0) {
      at = doc.line(n)
      break
    }
    if (/^\S/.test(t)) break
  }
  const text = doc.sliceString(at.from, pos)
  const m = keyAt.exec(text)
  const lead = /^(\s*)((?:- )*)/.exec(text)!
  const indent = lead[1].length + lead[2].length
  const path = above(doc, at.number, lead[1].length, lead[2].length > 0)
  if (lead[2]) path.push('*')
  if (!m) {
    const word = text.slice(lead[0].length)
    if (/(^|\s)#/.test(word)) return null
    if (/[{[]/.test(word)) return flow(path, text, indent, at.from)
    return { path, key: true, from: at.from + lead[0].length, word, had: siblings(doc, at.number, lead[1].length) }
  }
  path.push(unquote(m[3]))
  return flow(path, text, m[0].length, at.from)
}

function balance(t: string): number {
  let n = 0
  let quote = ''
  for (let i = 0; i < t.length; i++) {
    const c = t[i]
    if (quote) {
      if (c === quote) quote = ''
    } else if (c === '"' || c === "'") quote = c
    else if (c === '#' && (i === 0 || /\s/.test(t[i - 1]))) break
    else if (c === '{' || c === '[') n++
    else if (c === '}' || c === ']') n--
  }
  return n
}

const unquote = (s: string) => s.trim().replace(/^(["'])(.*)\1$/, '$2')

/** Keys of the lines that a line stands below. */
function above(doc: Text, line: number, indent: number, dash: boolean): string[] {
  const path: string[] = []
  let edge = indent
  for (let n = line - 1; n > 0 && edge > 0; n--) {
    const t = doc.line(n).text
    const m = keyAt.exec(t)
    if (!m || /^\s*#/.test(t)) continue
    const i = m[1].length
    const inner = i + m[2].length
    if (i < edge || (dash && inner <= edge && m[2] === '' && i <= edge)) {
      if (inner < edge || m[2] === '') path.unshift(unquote(m[3]))
      if (m[2]) path.unshift('*')
      edge = i
      dash = false
    } else if (m[2] && inner === edge) {
      path.unshift('*') // the first key of the same item stands behind the dash
      edge = i
    }
  }
  return path
}

/** Keys of the same indentation round a line. */
function siblings(doc: Text, line: number, indent: number): string[] {
  const out: string[] = []
  for (const step of [-1, 1]) {
    for (let n = line + step; n > 0 && n <= doc.lines; n += step) {
      const t = doc.line(n).text
      if (!t.trim() || /^\s*#/.test(t)) continue
      const i = /^\s*/.exec(t)![0].length
      if (i < indent) break
      const m = keyAt.exec(t)
      if (i === indent && m) out.push(unquote(m[3]))
    }
  }
  return out
}

/** Follows brackets from a value's beginning to the end of the text. */
function flow(path: string[], text: string, i: number, base: number): Place | null {
  const levels: { map: boolean; key: string | null; keys: string[] }[] = []
  let from = i
  let quote = ''
  for (; i < text.length; i++) {
    const c = text[i]
    if (quote) {
      if (c === quote) quote = ''
      continue
    }
    const top = levels.at(-1)
    if (c === '"' || c === "'") quote = c
    else if (c === '#' && /\s/.test(text[i - 1] ?? ' ')) return null
    else if (c === '{' || c === '[') {
      levels.push({ map: c === '{', key: null, keys: [] })
      from = i + 1
    } else if (c === '}' || c === ']') {
      levels.pop()
      from = i + 1
    } else if (c === ',' && top) {
      top.key = null
      from = i + 1
    } else if (c === ':' && top?.map && top.key === null && /\s|$/.test(text[i + 1] ?? '')) {
      top.key = unquote(text.slice(from, i))
      top.keys.push(top.key)
      from = i + 1
    }
  }
  const top = levels.at(-1)
  for (const l of levels) {
    if (l === top && l.map && l.key === null) break
    path.push(l.map ? (l.key ?? '') : '*')
  }
  const word = text.slice(from)
  const lead = /^\s*/.exec(word)![0].length
  return { path, key: !!top?.map && top.key === null, from: base + from + lead, word: word.slice(lead), had: top?.keys ?? [] }
}

/** All that the schema says may stand at a path. */
export function schemasAt(root: Schema, path: string[]): Schema[] {
  let now = options(root, root)
  for (const k of path) {
    const next: Schema[] = []
    for (const s of now) {
      if (k === '*') {
        if (s.items) next.push(...options(root, s.items))
        for (const p of s.prefixItems ?? []) next.push(...options(root, p))
        continue
      }
      const p = s.properties?.[k]
      if (p) next.push(...options(root, p))
      else if (s.additionalProperties && typeof s.additionalProperties === 'object') next.push(...options(root, s.additionalProperties))
    }
    now = next
  }
  return now
}

function options(root: Schema, s: Schema, depth = 0): Schema[] {
  if (depth > 8) return []
  if (s.$ref) {
    const d = root.$defs?.[s.$ref.split('/').pop()!]
    return d ? options(root, { ...d, description: s.description ?? d.description }, depth + 1) : []
  }
  const alt = s.anyOf ?? s.oneOf
  return alt ? [s, ...alt.flatMap((a) => options(root, a, depth + 1))] : [s]
}

/** What is known of the key at a path: what it means, and the words it may have. */
export function describe(root: Schema, path: string[]): { say: string; words: string[] } | null {
  const found = schemasAt(root, path)
  if (found.length === 0) return null
  return { say: found.find((s) => s.description)?.description ?? '', words: [...new Set(found.flatMap((s) => s.enum ?? []).map(String))] }
}

/** Which list of names a value is from, by its path. */
function listOf(path: string[]): string {
  const [last, before] = [path.at(-1), path.at(-2)]
  if (last === 'part') return 'part'
  if (last === 'sheet' || (last === 'use' && before === 'sheet')) return 'sheet'
  if (last === 'covering' || (last === 'use' && before === 'covering')) return 'covering'
  if (last === 'bits' || before === 'bits') return 'bits'
  if (['signal', 'ground', 'supply', 'ribbon'].includes(last ?? '') && before === 'wire') return 'wire'
  if (last === '*' && (before === 'of' || before === 'not')) return 'control'
  if (last === 'rule' && path.includes('keep')) return 'rule'
  return ''
}

/** Completion from the schema: keys where a key may stand, words and names where a value may. */
export function completer(root: Schema, names: () => Names) {
  return (c: CompletionContext): CompletionResult | null => {
    const p = placeAt(c.state.doc, c.pos)
    if (!p || (!c.explicit && p.word === '' && p.key)) return null
    let list: Completion[] = []
    const found = schemasAt(root, p.path)
    if (p.key) {
      for (const s of found) {
        for (const [k, v] of Object.entries(s.properties ?? {})) {
          if (p.had.includes(k) || list.some((x) => x.label === k)) continue
          const about = options(root, v)
          list.push({ label: k, type: 'property', apply: k + ': ', info: v.description ?? about[0]?.description, detail: detail(about) })
        }
      }
    } else {
      const which = listOf(p.path)
      for (const n of names()[which] ?? []) list.push({ label: n.name, detail: n.title, type: 'constant' })
      for (const s of found) for (const e of s.enum ?? []) if (!list.some((x) => x.label === String(e))) list.push({ label: String(e), type: 'enum' })
      if (found.some((s) => s.type === 'boolean')) list.push({ label: 'true' }, { label: 'false' })
    }
    if (list.length === 0) return null
    return { from: p.from, options: list, validFor: /^[\w.\-/ ]*$/ }
  }
}

function detail(about: Schema[]): string {
  const words = about.flatMap((s) => s.enum ?? [])
  return words.length ? words.slice(0, 4).join(', ') + (words.length > 4 ? ' ...' : '') : ''
}

/** What is under the pointer: the path of the key or value there, with its bounds. */
export function wordAt(doc: Text, pos: number): { path: string[]; from: number; to: number } | null {
  const line = doc.lineAt(pos)
  const around = (re: RegExp, i: number, step: number) => {
    while (i + step >= 0 && i + step <= line.text.length && re.test(line.text[step < 0 ? i - 1 : i] ?? '')) i += step
    return i
  }
  const i = pos - line.from
  const [a, b] = [around(/[\w.\-]/, i, -1), around(/[\w.\-]/, i, 1)]
  if (a === b) return null
  const rest = line.text.slice(b)
  const isKey = /^\s*:(\s|$)/.test(rest)
  const p = placeAt(doc, line.from + b)
  if (!p) return null
  return { path: isKey ? [...p.path, line.text.slice(a, b)] : p.path, from: line.from + a, to: line.from + b }
}
