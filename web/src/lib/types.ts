// Made from the server's types by a test of internal/studio. Do not edit.

export interface LookData {
  rev: number
  drawn: number
  broken: boolean
  trouble: string
  file: string
  text: string
  title: string
  units: string
  verdict: string
  counts: [number, number, number]
  undo: string
  redo: string
  width: number
  height: number
  controls: Array<ControlData>
  findings: Array<Finding>
  outline: Array<[number, number]>
  behind: Array<ShapeData>
  texts: Array<TextData>
  holes: Array<ShapeData>
  has_box: boolean
  wired: boolean
  forms: Array<MouldData>
  groups: Array<Group>
  waiting: Array<Lying>
  boards: Array<BoardData>
  guest: boolean
}

export interface ControlData {
  name: string
  label: string
  part: string
  title: string
  class: string
  x: number
  y: number
  turn: number
  path: string
  line: number
  move: string
  base: [number, number]
  pinned: boolean
  board: string
  front: [number, number, number, number]
  rear: [number, number, number, number]
  group: string
  form: number
  shapes: Array<ShapeData>
  bodies: Array<ShapeData>
  legend: TextData
  image: string
}

export interface ShapeData {
  role: string
  name: string
  points: Array<[number, number]>
}

export interface TextData {
  lines: Array<string>
  x: number
  y: number
  cap: number
}

export interface TryData {
  rev: number
  moved: Array<MovedData>
  cut?: CutData
  findings: Array<Finding>
  order: Array<number>
}

export interface DragData {
  try?: TryData
  cut?: CutData
  say?: string
}

export interface ClashData {
  say: string
  yours: string
  theirs: string
  rev: number
}

export interface EditRequest {
  say: string
  edits: Array<Edit>
}

export interface TextRequest {
  rev: number
  text: string
}

export interface FixRequest {
  rev: number
  finding: number
  fix: number
}

export interface PartData {
  id: string
  title: string
  class: string
  hole: number
  said: string
  from: number
  to: number
  yours: boolean
  picture: string
}

export interface WiringData {
  rev: number
  plan: string
  partial: boolean
  wires: Array<WireData>
  options: Array<Option>
}

export interface WireData {
  id: string
  net: string
  from: string
  to: string
  colour: string
  length: number
  chain: string
  path: Array<[number, number]>
}

export interface SolidData {
  rev: number
  bodies: Array<MeshData>
}

export interface MeshData {
  name: string
  points: Array<number>
  tris: Array<number>
}

export interface PressData {
  rev: number
  whole: boolean
  faces: Array<PressFace>
  findings: Array<Finding>
}

export interface PressFace {
  name: string
  board: string
  width: number
  height: number
  outline: Array<[number, number]>
  cannot: string
  thumb: number
  slip: number
  springy: number
  solid: number
  made: string
  hertz: number
  notices: Array<string>
  supports: Array<SupportData>
  ribs: Array<RibData>
  presses: Array<GiveData>
  holes: Array<ShapeData>
  lines: Array<LineData>
  over: Array<Array<[number, number]>>
  free: Array<[number, number, number, number]>
  rib_path: string
  rib_stock: [number, number]
  free_path: string
  blanks: Array<BlankData>
}

export interface SupportData {
  name: string
  kind: string
  a: [number, number]
  b: [number, number]
}

export interface RibData {
  name: string
  path: string
  a: [number, number]
  b: [number, number]
  width: number
  height: number
  pinned: boolean
}

export interface GiveData {
  name: string
  label: string
  x: number
  y: number
  judged: boolean
  on_wood: boolean
  own: number
  force: number
  thumb: number
  slip: number
  neighbour: string
  along: number
  factor: number
  beside: string
}

export interface LineData {
  level: number
  limit: boolean
  runs: Array<Array<[number, number]>>
  names: Array<SpotData>
}

export interface SpotData {
  x: number
  y: number
  wide: number
  cap: number
}

export interface BlankData {
  name: string
  value: string
  choices: Array<ChoiceData>
  path: string
  before: string
  after: string
}

export interface ChoiceData {
  say: string
  edits: Array<Edit>
}

export interface PressRequest {
  edits: Array<Edit>
  whole: boolean
}

export interface RibsRequest {
  face: number
  reach: number
  fresh: boolean
}

export interface RibsData {
  rev: number
  say: string
  bound: string
  before: number
  after: number
  reached: boolean
  ribs: Array<RibData>
  without: Array<RibData>
  gives: Array<number>
  edits: Array<Edit>
  each: Array<Array<Edit>>
  lines: Array<LineData>
  over: Array<Array<[number, number]>>
}

export interface BentData {
  rev: number
  control: string
  label: string
  board: string
  thumb: number
  most: number
  xs: Array<number>
  ys: Array<number>
  move: Array<Array<number>>
  carried: Array<CarryData>
  ribs: Array<RibData>
  back: number
  pose: [[number, number, number], [number, number, number], [number, number, number], [number, number, number]]
}

export interface CarryData {
  name: string
  move: number
}

export interface BoxData {
  rev: number
  bodies: Array<BoxBody>
  controls: Array<BoxControl>
  sheets: Array<BoxSheet>
  lids: Array<LidData>
  opens: string
  wires: Array<BoxWire>
}

export interface BoxBody {
  name: string
  kind: string
  board: string
  control: string
  wood: boolean
  lid: number
  points: Array<number>
  tris: Array<number>
}

export interface BoxControl {
  name: string
  label: string
  sheet: number
  at: [number, number, number]
}

export interface BoxSheet {
  board: string
  x: [number, number, number]
  y: [number, number, number]
  z: [number, number, number]
}

export interface LidData {
  board: string
  about: [number, number, number]
  axis: [number, number, number]
  angle: number
  lift: [number, number, number]
}

export interface BoxWire {
  id: string
  say: string
  colour: string
  path: Array<[number, number, number]>
  from: number
  to: number
  free: [number, number]
  long: number
}

export interface ActData {
  look: LookData
  note: string
  keep: boolean
  hand: Array<string>
}

export interface LinkData {
  links: Array<string>
  until: string
}

export interface RoomsData {
  of: string
  rev: number
  rings: Array<RingData>
}

export interface RingData {
  what: string
  short: string
  say: string
  points: Array<[number, number]>
}

export interface CutData {
  of: string
  up: number
  left: number
  top: number
  width: number
  height: number
  say: string
  rev: number
  parts: Array<string>
  same: Array<number>
}

export interface PartsData {
  classes: Array<string>
  found: number
  parts: Array<PartData>
}

export interface CardData {
  class: string
  like: string
  id: string
  questions: Array<QuestionData>
  findings: Array<Finding>
  record: string
  file: string
  fresh: boolean
  can_save: boolean
}

export interface QuestionData {
  key: string
  ask: string
  how: string
  spot: string
  kind: string
  choices: Array<string>
  times: number
  take: string
  optional: boolean
  wrong: string
}

export interface CardRequest {
  of: string
  id: string
  readings: Record<string, Array<string>>
  control: string
}

export interface TryRequest {
  say: string
  edits: Array<Edit>
  act?: Act
  cut?: string
  had?: number
}

export interface MovedData {
  name: string
  x: number
  y: number
}

export interface MouldData {
  front: Array<ShapeData>
  rear: Array<ShapeData>
}

export interface Act {
  do: string
  names?: Array<string>
  by?: [number, number]
  how?: string
  whole?: boolean
  keep?: boolean
  across?: string
  up?: string
  name?: string
  count?: number
  fine?: boolean
}

export interface Group {
  name: string
  kind: string
  say: string
  path: string
  line: number
  members: Array<string>
  handles: Array<Handle>
  outline: Array<[number, number]>
}

export interface Handle {
  kind: string
  x: number
  y: number
  say: string
  value: string
}

export interface Lying {
  name: string
  label: string
  part: string
  title: string
  hole: number
  path: string
  line: number
  on: string
  why: string
  free: boolean
}

export interface StepsData {
  rev: number
  stops: number
  halt: string
  order: Said
  boards: Array<StepBoard>
  places: Record<string, StepSpot>
  units: string
  langs: Array<string>
  trouble: string
}

export interface StepBoard {
  slug: string
  width: number
  height: number
  outline: Array<[number, number]>
  holes: Array<StepHole>
}

export interface StepHole {
  n: number
  name: string
  points: Array<[number, number]>
}

export interface StepSpot {
  board: string
  hole: number
  last: boolean
  x: number
  y: number
  name: string
  big: string
  unit: string
  under: string
  across: string
  up: string
  rpm: string
}

export interface TickRequest {
  id: string
  done: boolean
  note: string
  lang: string
}

export interface Said {
  lang: string
  sum: string
  bound: string
  hands_minutes: number
  span_minutes: number
  bound_minutes: number
  exact: boolean
  done: number
  next: string
  steps: Array<SaidStep>
  sessions: Array<SaidSit>
  waits: Array<SaidWait>
  words: Record<string, string>
}

export interface SaidStep {
  n: number
  id: string
  part: string
  part_said: string
  title: string
  do: Array<string>
  items: Array<SaidItem>
  after: Array<SaidAfter>
  minutes: number
  time: string
  wait: string
  wait_minutes: number
  warm: string
  cautions: Array<SaidCaution>
  no_return: boolean
  check: string
  papers: Array<string>
  controls: Array<string>
  board: string
  when: string
  day: number
  done: boolean
  on?: string
  note?: string
  ready: boolean
}

export interface SaidItem {
  id: string
  text: string
  done: boolean
}

export interface SaidAfter {
  n: number
  id: string
  why: string
  dry: boolean
  done: boolean
}

export interface SaidCaution {
  sign: string
  text: string
}

export interface SaidSit {
  when: string
  day: number
  from: number
  to: number
  pieces: Array<SaidPiece>
}

export interface SaidPiece {
  n: number
  step: string
  from: number
  to: number
}

export interface SaidWait {
  n: number
  step: string
  from: number
  to: number
  what: string
}

export interface ArrangeRequest {
  on: string
  keep: Array<string>
  seed: number
}

export interface ArrangeLine {
  part: number
  say: string
  rev: number
  result: Result
}

export interface BoardData {
  on: string
  name: string
  board: string
  controls: number
  width: number
  height: number
  outline: Array<[number, number]>
  behind: Array<ShapeData>
  holes: Array<ShapeData>
}

export interface PaperData {
  name: string
  about: string
  bytes: number
  pages: Array<string>
}

export interface Result {
  say: string
  on: string
  proposals: Array<Proposal>
  now: Score
  stays: Array<Stay>
  moves: Array<string>
  crowd: Crowd
  refused: number
  stopped: boolean
  hopeless: boolean
}

export interface Proposal {
  name: string
  say: string
  score: number
  terms: Array<Term>
  spots: Array<Spot>
  moved: number
  farthest: number
  counts: [number, number, number]
  was: [number, number, number]
  edits: Array<Edit>
}

export interface Score {
  total: number
  terms: Array<Term>
}

export interface Term {
  name: string
  say: string
  have: number
  was: number
  want: number
  unit: string
  points: number
  why: string
}

export interface Spot {
  control: string
  x: number
  y: number
  dx: number
  dy: number
  new: boolean
  wide: number
  high: number
  across: number
  up: number
}

export interface Stay {
  name: string
  why: string
}

export interface Crowd {
  what: string
  need_cm2: number
  have_cm2: number
  room: boolean
}

export interface BenchData {
  rev: number
  why: string
  note: string
  source: string
  table: number
  vendor: number
  product: number
  lines: Array<BenchLine>
  rows: Array<BenchRow>
  causes: Array<BenchCause>
  alike: number
  right: boolean
  next?: BenchAsk
  moments: Array<BenchMoment>
  faults: Array<string>
  kept: Array<string>
}

export interface BenchLine {
  id: string
  say: string
  expect: string
  do: string
  lamp: string
  control: string
  said: string
  saw: string
  before: string
  controls: Array<string>
  hint: string
}

export interface BenchRow {
  name: string
  label: string
  control: string
  usage: number
  raw: Array<number>
  axis: boolean
  lamp: boolean
  report: number
  bit: number
  hat: number
}

export interface BenchCause {
  n: number
  part: number
  say: string
  iron: string
  table: string
  check: string
  fix: boolean
  spots: Array<BenchSpot>
  wires: Array<string>
}

export interface BenchSpot {
  control: string
  board: string
  label: string
  x: number
  y: number
  known: boolean
}

export interface BenchAsk {
  say: string
  do: string
  lamp: string
  on: boolean
  wants: string
}

export interface BenchMoment {
  at: number
  on: Array<string>
  axes: Array<number>
}

export interface BenchBegin {
  simulate: boolean
  faults: Array<string>
  source: string
  serial: string
  table: number
}

export interface BenchSeen {
  line: string
  moments: Array<BenchReport>
  lamp: string
  meter?: number
  pins?: string
  itself: boolean
}

export interface BenchReport {
  at: number
  raw?: Array<number>
  rows: Array<BenchMoved>
}

export interface BenchMoved {
  row: number
  on: boolean
  part: number
}

export interface BenchTake {
  n: number
}

export interface Finding {
  rule: string
  severity: 'stop' | 'warn' | 'note'
  head: string
  body?: string
  ends?: Array<End>
  place?: Place
  on?: string
  measure?: Measure
  why?: string
  source?: Source
  fixes?: Array<Fix>
  kept?: string
}

export interface End {
  name: string
  path?: string
  pos?: Pos
}

export interface Pos {
  file?: string
  line?: number
  column?: number
  length?: number
}

export interface Place {
  across: number
  up: number
}

export interface Measure {
  have: number
  want: number
  want_max?: number
  unit: string
  sense: 'at least' | 'at most' | 'between'
}

export interface Fix {
  say: string
  short: string
  edits: Array<Edit>
}

export interface Edit {
  op: 'set' | 'delete' | 'rename'
  path: string
  value?: string
}

export interface Source {
  text?: string
  provenance?: string
  confidence?: string
}

export interface Option {
  Title: string
  By: string
  Fits: boolean
  Chosen: boolean
  Pins: number
  Left: number
  Joints: number
  Wires: number
  Parts: number
  Money: [number, number]
  Scan: number
  Ghosts: string
  Why: string
  Module: string
}
