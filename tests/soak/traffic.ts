/** A bus at 500 kbit/s without a pause, as candump text: made as time goes by. */

/**
 * Lines a second. An extended frame with eight bytes takes 131 bits on the wire and more where bits are
 * stuffed (see the decoder's `frame-bits.ts`), so 500,000 bits a second carry 3,816 such frames at most.
 */
export const FULL_LOAD = 3_816

/** Groups with signals that change, and how many of a hundred lines each has. */
const GROUPS: readonly (readonly [id: string, share: number])[] = [
  ['0CF00400', 20],
  ['0CF00300', 15],
  ['18F00503', 10],
  ['18FEF100', 10],
  ['18FEEE00', 5],
  ['18FEEF00', 5],
  ['18FEF600', 5],
  ['18FEF700', 5],
  ['18FEF200', 5],
  ['18FEDF00', 5],
  ['18FDB200', 5],
  ['18FF2117', 10],
]

/** Identifier of each line of a hundred, the groups mixed. */
const ORDER: readonly string[] = (() => {
  const waiting = GROUPS.map(([id, share]) => ({ id, share, due: 100 / share / 2 }))
  return Array.from({ length: 100 }, () => {
    const next = waiting.reduce((first, one) => (one.due < first.due ? one : first))
    next.due += 100 / next.share
    return next.id
  })
})()

/** What viewers look at: a dozen signals, among them the busiest. */
export const WATCHED = [
  { channel: 'can0', sa: 0, pgn: 61444, spn: 190 },
  { channel: 'can0', sa: 0, pgn: 61444, spn: 513 },
  { channel: 'can0', sa: 0, pgn: 61443, spn: 91 },
  { channel: 'can0', sa: 0, pgn: 61443, spn: 92 },
  { channel: 'can0', sa: 3, pgn: 61445, spn: 523 },
  { channel: 'can0', sa: 0, pgn: 65265, spn: 84 },
  { channel: 'can0', sa: 0, pgn: 65262, spn: 110 },
  { channel: 'can0', sa: 0, pgn: 65263, spn: 100 },
  { channel: 'can0', sa: 0, pgn: 65270, spn: 102 },
  { channel: 'can0', sa: 0, pgn: 65271, spn: 168 },
  { channel: 'can0', sa: 0, pgn: 65266, spn: 183 },
  { channel: 'can0', sa: 0, pgn: 64946, spn: 3241 },
] as const

/** Writes lines for as long as it is not stopped. */
export class Traffic {
  /** Lines written. */
  lines = 0
  readonly #write: (text: string) => void
  readonly #rate: number
  readonly #begun = performance.now()
  readonly #timer: NodeJS.Timeout

  /** @param rate lines a second */
  constructor(write: (text: string) => void, rate: number = FULL_LOAD) {
    this.#write = write
    this.#rate = rate
    this.#timer = setInterval(() => this.#catchUp(), 5)
  }

  stop(): void {
    clearInterval(this.#timer)
  }

  #catchUp(): void {
    const due = Math.floor(((performance.now() - this.#begun) / 1_000) * this.#rate)
    // Every line has the time at which it is written: the delay a viewer sees is counted from there.
    const now = String(Math.round((performance.timeOrigin + performance.now()) * 1_000))
    const stamp = `(${now.slice(0, -6)}.${now.slice(-6)}) can0 `
    let text = ''
    for (; this.lines < due; this.lines++) {
      const id = ORDER[this.lines % ORDER.length]
      const data = (Math.imul(this.lines, 2_654_435_761) >>> 1).toString(16).toUpperCase().padStart(8, '0')
      text += `${stamp}${id}#7D${data.slice(0, 2)}${data}7D7D\n`
    }
    if (text !== '') this.#write(text)
  }
}
