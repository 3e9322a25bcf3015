/** A log played as if it came in just now: any speed, paused, moved, again and again, frame by frame. */
import { type FileHandle, open } from 'node:fs/promises'
import type { ReplayControl, ReplayPosition } from '@firstcrank/feed'
import { buildReplayIndex, type ReplayIndex, ReplayReader, type TimedLines } from './replay-index.js'
import { type Replay, type Source, SourceLife, type SourceSink } from './source.js'

/** What a replay begins with. */
export interface ReplayOptions {
  readonly title: string
  readonly speed?: number
  readonly loop?: boolean
  readonly paused?: boolean
  /** Microseconds; from the log's beginning where not given. */
  readonly from?: number
  /** Called when it is over, such as to delete an unpacked copy. */
  readonly release?: () => Promise<void>
}

/** A silence in the log longer than this, in microseconds, is shortened to it. Our own choice. */
export const LONGEST_SILENCE = 10_000_000
/** Milliseconds between two looks at the clock, at least and at most. */
const SHORTEST_NAP = 2
const LONGEST_NAP = 1_000

/** Replays a log of plain text. */
export class ReplaySource implements Source, Replay {
  readonly kind = 'replay'
  readonly title: string
  readonly #path: string
  readonly #release: (() => Promise<void>) | undefined
  readonly #life = new SourceLife()
  #file: FileHandle | undefined
  #index: ReplayIndex = { chunks: [], deltas: false, from: 0, to: 0 }
  #reader: ReplayReader | undefined
  #lines: TimedLines | undefined
  /** Lines of the chunk that have been handed on. */
  #row = 0
  #at = 0
  #speed: number
  #loop: boolean
  #playing: boolean
  /** When the wall clock showed {@link #anchorWall}, the replay was at {@link #anchorLog}. */
  #anchorWall = 0
  #anchorLog = 0
  #nap: NodeJS.Timeout | undefined
  #wake: (() => void) | undefined
  #running: Promise<void> = Promise.resolve()
  #controls: Promise<void> = Promise.resolve()
  /** Controls that have not been obeyed yet: the pump rests meanwhile, so that nobody else moves the place. */
  #waiting = 0
  #stopped = false
  #from: number | undefined

  /** @param path a log of plain text */
  constructor(path: string, { title, speed = 1, loop = false, paused = false, from, release }: ReplayOptions) {
    this.#path = path
    this.title = title
    this.#speed = speed
    this.#loop = loop
    this.#playing = !paused
    this.#from = from
    this.#release = release
  }

  get replay(): Replay {
    return this
  }

  get position(): ReplayPosition {
    return { from: this.#index.from, to: this.#index.to, at: this.#at, speed: this.#speed, loop: this.#loop }
  }

  start(sink: SourceSink): void {
    this.#life.begin(sink)
    this.#running = this.#run().catch((error: Error) => this.#life.end(error.message))
  }

  async stop(): Promise<void> {
    const first = !this.#stopped
    this.#stopped = true
    this.#rouse()
    await this.#running
    await this.#controls
    this.#life.end('stopped')
    if (!first) return
    await this.#file?.close()
    await this.#release?.()
  }

  /** Does what is asked; one thing after the other. */
  control(control: ReplayControl): Promise<void> {
    this.#waiting++
    this.#rouse()
    const done = this.#controls.then(async () => {
      await this.#running
      await this.#obey(control)
    })
    this.#controls = done
      .catch(() => undefined)
      .then(() => {
        this.#waiting--
        if (!this.#stopped) this.#running = this.#pump()
      })
    return done
  }

  async #obey(control: ReplayControl): Promise<void> {
    if (this.#stopped) return
    switch (control.do) {
      case 'play':
        if (!this.#playing && this.#isAtEnd()) await this.#moveTo(this.#index.from)
        this.#playing = true
        break
      case 'pause':
        this.#playing = false
        break
      case 'step':
        this.#playing = false
        await this.#step(control.frames)
        break
      case 'seek':
        await this.#moveTo(control.time)
        break
      case 'speed':
        this.#speed = control.speed
        break
      case 'loop':
        this.#loop = control.loop
        break
    }
    this.#announce()
  }

  async #run(): Promise<void> {
    this.#file = await open(this.#path, 'r')
    this.#index = await buildReplayIndex(this.#file)
    await this.#place(this.#from ?? this.#index.from)
    this.#announce()
    await this.#pump()
  }

  #announce(): void {
    this.#anchorWall = performance.now()
    this.#anchorLog = this.#at
    if (this.#playing) this.#life.state('live', `replaying ${this.title}`)
    else this.#life.state('paused', this.#isAtEnd() ? 'the log has ended' : 'paused')
  }

  /** Hands lines on as their time comes, until something else is to be done. */
  async #pump(): Promise<void> {
    while (this.#waiting === 0 && !this.#stopped && this.#playing) {
      const due = this.#anchorLog + (performance.now() - this.#anchorWall) * 1_000 * this.#speed
      this.#handOn(due)
      const next = await this.#nextTime()
      if (next === undefined) await this.#reachEnd()
      else if (next - Math.max(this.#at, due) > LONGEST_SILENCE) this.#anchorLog += next - due - LONGEST_SILENCE
      else if (next > due) await this.#sleep((next - due) / 1_000 / this.#speed)
    }
  }

  async #reachEnd(): Promise<void> {
    if (this.#loop) await this.#moveTo(this.#index.from)
    else this.#playing = false
    this.#announce()
  }

  #sleep(milliseconds: number): Promise<void> {
    if (this.#waiting > 0 || this.#stopped) return Promise.resolve()
    return new Promise((resolve) => {
      this.#wake = resolve
      this.#nap = setTimeout(resolve, Math.min(LONGEST_NAP, Math.max(SHORTEST_NAP, milliseconds)))
    })
  }

  #rouse(): void {
    clearTimeout(this.#nap)
    this.#wake?.()
  }

  /** Hands on the rest of the chunk's lines up to a time. */
  #handOn(due: number): void {
    const lines = this.#lines
    if (lines === undefined) return
    const start = this.#row
    while (this.#row < lines.ends.length && !((lines.times[this.#row] as number) > due)) this.#pass(lines)
    this.#give(lines, start)
  }

  #pass(lines: TimedLines): void {
    const time = lines.times[this.#row++] as number
    if (time > this.#at) this.#at = time
  }

  #give(lines: TimedLines, start: number): void {
    if (this.#row === start) return
    const from = start === 0 ? 0 : (lines.ends[start - 1] as number)
    this.#life.bytes(lines.bytes.subarray(from, lines.ends[this.#row - 1]))
  }

  /** Time of the next line with one; reads on where the chunk is used up. Undefined at the log's end. */
  async #nextTime(): Promise<number | undefined> {
    for (;;) {
      const lines = this.#lines
      if (lines !== undefined) {
        for (let row = this.#row; row < lines.ends.length; row++) {
          const time = lines.times[row] as number
          if (!Number.isNaN(time)) return time
        }
        const start = this.#row
        this.#row = lines.ends.length
        this.#give(lines, start)
      }
      this.#lines = await this.#reader?.read()
      this.#row = 0
      if (this.#lines === undefined) return undefined
    }
  }

  #isAtEnd(): boolean {
    return this.#lines === undefined
  }

  async #step(frames: number): Promise<void> {
    for (let left = frames; left > 0; left--) {
      if ((await this.#nextTime()) === undefined) return
      const lines = this.#lines as TimedLines
      const start = this.#row
      while (Number.isNaN(lines.times[this.#row] as number)) this.#pass(lines)
      this.#pass(lines)
      this.#give(lines, start)
    }
  }

  async #moveTo(time: number): Promise<void> {
    this.#life.restarted()
    await this.#place(time)
  }

  /** Makes the first frame at or after a time the next one. */
  async #place(time: number): Promise<void> {
    const { chunks, from, to } = this.#index
    let chunk = 0
    while (chunk + 1 < chunks.length && (chunks[chunk + 1] as { time: number }).time < time) chunk++
    this.#reader = new ReplayReader(this.#file as FileHandle, this.#index, chunk)
    this.#at = Math.min(Math.max(from, time), to)
    this.#lines = await this.#reader.read()
    this.#row = 0
    while (this.#lines !== undefined) {
      const { times } = this.#lines
      let row = times.findIndex((known) => known >= time)
      if (row >= 0) {
        // A comment belongs to the frame behind it.
        while (row > 0 && Number.isNaN(times[row - 1] as number)) row--
        this.#row = row
        return
      }
      this.#lines = await this.#reader.read()
    }
  }
}
