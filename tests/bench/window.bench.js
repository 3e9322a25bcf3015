/**
 * Windows of an hour of bus at 500 kbit/s without a pause: how long a picture of one signal takes, at
 * screen width, whatever stretch is looked at.
 */
import { openRecording } from '@firstcrank/decoder'
import { answerRequest, decodeFrame, prepareWindows } from '@firstcrank/feed'

/** Frames a second: an extended frame with eight bytes takes 131 bits and more. */
const RATE = 3_816
const SECONDS = Number(process.env['BENCH_SECONDS'] ?? 3_600)
const COLUMNS = 1_920
const ROUNDS = 200

/** Lines of the hour: engine speed every 10 ms, the rest of the bus in between. */
function* hour() {
  const others = ['0CF00300', '18F00503', '18FEF100', '18FEEE00', '18FEEF00', '18FEF600', '18FEF700', '18FF2117']
  const encoder = new TextEncoder()
  const total = RATE * SECONDS
  let text = ''
  for (let n = 0, due = 0; n < total; n++) {
    const micros = Math.floor((n / RATE) * 1e6)
    const isSpeed = micros >= due
    if (isSpeed) due += 10_000
    const id = isSpeed ? '0CF00400' : others[n % others.length]
    const data = (Math.imul(n, 2_654_435_761) >>> 2).toString(16).toUpperCase().padStart(8, '0')
    text += `(1700${String(micros + 1e11).slice(0, 6)}.${String(micros % 1e6).padStart(6, '0')}) can0 ${id}#7D7D${data}7D7D\n`
    if (text.length > 1 << 18) {
      yield encoder.encode(text)
      text = ''
    }
  }
  yield encoder.encode(text)
}

const begun = performance.now()
const recording = await openRecording(hour())
const from = recording.clock.first
const to = recording.clock.last
console.log(
  `${recording.counts.extended} frames over ${((to - from) / 60e6).toFixed(1)} min, read in ${((performance.now() - begun) / 1000).toFixed(1)} s`,
)

const askable = { recording, epoch: '', complete: true }
/** What a server's thread does with a recording between requests, before anybody looks at it. */
const prepared = performance.now()
let indexes = 0
for (const _ of prepareWindows(recording)) indexes++
console.log(`indexes of the ${indexes} busiest signals made ahead in ${Math.round(performance.now() - prepared)} ms`)

const SPEED = { channel: 'can0', sa: 0, pgn: 61444, spn: 190 }
const TORQUE = { ...SPEED, spn: 513 }
const windowOf = (a, b, ref = SPEED) => {
  const start = performance.now()
  const answer = answerRequest(askable, { ask: 'window', query: { signals: [ref], from: a, to: b, columns: COLUMNS } })
  const took = performance.now() - start
  return { took, form: decodeFrame(answer).entries[0].columns.form }
}

/** Milliseconds of processor time so far: what a busy machine does not change. */
const processorTime = () => {
  const { user, system } = process.cpuUsage()
  return (user + system) / 1_000
}

for (const [name, ref] of [
  ['first window of a busy signal', SPEED],
  ['first window of another', TORQUE],
  ['first window of a third', { channel: 'can0', sa: 0, pgn: 65262, spn: 110 }],
]) {
  const before = processorTime()
  const { took } = windowOf(from, to, ref)
  const used = processorTime() - before
  console.log(`${name}: ${took.toFixed(1)} ms, processor time ${used.toFixed(1)} ms`)
}
let seed = 7
const random = () => {
  seed = (Math.imul(seed, 1_664_525) + 1_013_904_223) >>> 0
  return seed / 2 ** 32
}
for (const share of [1, 0.5, 0.1, 0.02, 0.001]) {
  const took = []
  let form = ''
  const used = processorTime()
  for (let round = 0; round < ROUNDS; round++) {
    const length = (to - from) * share
    const start = from + random() * (to - from - length)
    const window = windowOf(start, start + length)
    took.push(window.took)
    form = window.form
  }
  const mean = ((processorTime() - used) / ROUNDS).toFixed(2)
  took.sort((a, b) => a - b)
  const at = (part) => took[Math.floor(took.length * part)].toFixed(2)
  console.log(
    `${(share * 100).toFixed(1).padStart(5)} % of it, ${COLUMNS} columns, ${form}: median ${at(0.5)} ms, p99 ${at(0.99)} ms, processor time ${mean} ms`,
  )
}
