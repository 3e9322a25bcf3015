/**
 * One live session: lines from a source are decoded and kept for whoever watches, and recorded to disk
 * where that is wanted. What goes wrong with one of the two does not touch the other.
 */
import type { BusEvent, Episode, GroupDefinition } from '@firstcrank/decoder'
import {
  type CheckedRequest,
  describeEvent,
  describeFault,
  FeedError,
  type LiveEvent,
  type ReplayControl,
  type SourceInfo,
  type SourceState,
} from '@firstcrank/feed'
import type { Source } from '../sources/source.js'
import { EventLog } from './event-log.js'
import { countLines, WholeLines } from './lines.js'
import { LIVE_LIMITS, type LiveLimits, LiveRecording } from './live-recording.js'
import type { Recorder } from './recorder.js'

/** What a session is made of. */
export interface SessionOptions {
  readonly id: string
  readonly source: Source
  /** Run that is replayed. */
  readonly run?: string
  readonly recorder?: Recorder
  readonly limits?: LiveLimits
  readonly definitions?: readonly GroupDefinition[]
  /** Told when the state of the source changes. */
  readonly onState?: (state: SourceState, detail: string) => void
  /** Told when the state of source or recorder has changed. */
  readonly onChange?: () => void
}

/** Wall clock in microseconds, finer than `Date.now()`. */
export function wallClock(): number {
  return Math.round((performance.timeOrigin + performance.now()) * 1_000)
}

const SECOND = 1_000_000

/** What was last told of an open fault. */
interface ToldFault {
  readonly episode: Episode
  changes: number
}

/** A source that somebody can watch. */
export class LiveSession {
  readonly id: string
  readonly events: EventLog = new EventLog()
  /** Clients that follow it. */
  followers = 0
  /** When the newest lines came, by the wall clock in microseconds; NaN where none came. */
  arrived = Number.NaN
  recording: LiveRecording
  readonly #source: Source
  readonly #run: string | undefined
  readonly #recorder: Recorder | undefined
  readonly #options: SessionOptions
  readonly #lines = new WholeLines((lines) => this.#take(lines))
  readonly #instance = Math.random().toString(36).slice(2, 10)
  #epochs = 0
  #state: SourceState = 'waiting'
  #detail = ''
  #lineCount = 0
  #rate = 0
  #rateFrom = { time: 0, lines: 0 }
  #open: ToldFault[] = []
  #toldEpisodes = 0

  constructor(options: SessionOptions) {
    this.#options = options
    this.id = options.id
    this.#source = options.source
    this.#run = options.run
    this.#recorder = options.recorder
    this.recording = this.#newRecording()
  }

  get state(): SourceState {
    return this.#state
  }

  get run(): string | undefined {
    return this.#run
  }

  /** Begins to read the source. */
  start(): void {
    this.#source.start({
      bytes: (chunk) => this.#lines.push(chunk),
      state: (state, detail) => this.#changeState(state, detail),
      restarted: () => this.#restart(),
    })
  }

  /** Ends the source and completes what was recorded. */
  async stop(): Promise<void> {
    await this.#source.stop()
    await this.#recorder?.stop()
  }

  /** What is known of it now. */
  info(): SourceInfo {
    const { kind, title, replay } = this.#source
    return {
      id: this.id,
      kind,
      title,
      state: this.#state,
      detail: this.#detail,
      epoch: this.recording.epoch,
      lines: this.#lineCount,
      rate: this.#rate,
      torn: this.#lines.torn,
      silent: Number.isNaN(this.arrived) ? -1 : wallClock() - this.arrived,
      replay: replay?.position ?? null,
      run: this.#run ?? null,
      recorder: this.#recorder?.status ?? null,
      followers: this.followers,
    }
  }

  /** @throws {FeedError} see `LiveRecording.answer` */
  answer(request: CheckedRequest): unknown {
    return this.recording.answer(request)
  }

  /** @throws {FeedError} `not-a-replay` */
  async control(control: ReplayControl): Promise<void> {
    if (this.#source.replay === undefined) throw new FeedError('not-a-replay', `${this.#source.title} is live`)
    await this.#source.replay.control(control)
  }

  /** To be called many times a second: notes rates, and faults that came or went. */
  tick(): void {
    const now = wallClock()
    if (now - this.#rateFrom.time >= SECOND) {
      const seconds = (now - this.#rateFrom.time) / SECOND
      this.#rate = Math.round((this.#lineCount - this.#rateFrom.lines) / seconds)
      this.#rateFrom = { time: now, lines: this.#lineCount }
    }
    this.#tellFaults()
  }

  #take(lines: Uint8Array): void {
    this.#recorder?.write(lines)
    this.#lineCount += countLines(lines)
    this.arrived = wallClock()
    this.recording.push(lines)
  }

  #changeState(state: SourceState, detail: string): void {
    this.#state = state
    this.#detail = detail
    if (state === 'lost' || state === 'ended') this.#lines.breakOff()
    if (state === 'lost' || (state === 'live' && this.#lineCount > 0))
      this.#recorder?.note(`source ${state}: ${detail}`)
    if (state === 'ended') this.recording.finish()
    this.#tell({ kind: 'source', at: wallClock(), state, detail })
    this.#options.onState?.(state, detail)
    this.#options.onChange?.()
  }

  #restart(): void {
    this.#lines.breakOff()
    this.recording = this.#newRecording()
    this.#open = []
    this.#toldEpisodes = 0
  }

  #newRecording(): LiveRecording {
    const epoch = `${this.#instance}.${this.#epochs++}`
    const recording = new LiveRecording(epoch, this.#options.limits ?? LIVE_LIMITS, this.#options.definitions)
    recording.onEvent = (event) => this.#tellBus(event)
    return recording
  }

  #tellBus(event: BusEvent): void {
    const channel = this.recording.channels[event.channel] ?? ''
    this.#tell({ kind: 'bus', at: wallClock(), event: describeEvent(event, channel) })
  }

  #tellFaults(): void {
    const { list } = this.recording.bus.episodes
    for (; this.#toldEpisodes < list.length; this.#toldEpisodes++) {
      const episode = list[this.#toldEpisodes] as Episode
      this.#open.push({ episode, changes: changesOf(episode) })
      this.#tellFault('began', episode)
    }
    this.#open = this.#open.filter((told) => {
      const { episode } = told
      const ended = episode.endedBy !== null
      const changes = changesOf(episode)
      if (ended) this.#tellFault('ended', episode)
      else if (changes !== told.changes) this.#tellFault('changed', episode)
      told.changes = changes
      return !ended
    })
  }

  #tellFault(change: 'began' | 'changed' | 'ended', episode: Episode): void {
    const channel = this.recording.channels[episode.channel] ?? ''
    this.#tell({ kind: 'fault', at: wallClock(), change, fault: describeFault(episode, channel) })
  }

  /** Told by the recorder's owner. */
  tellRecorder(state: NonNullable<SourceInfo['recorder']>['state'], detail: string): void {
    this.#tell({ kind: 'recorder', at: wallClock(), state, detail })
    this.#options.onChange?.()
  }

  #tell(event: LiveEvent): void {
    this.events.add(event)
  }
}

const changesOf = (episode: Episode): number => episode.occurrenceCounts.length + episode.lamps.length
