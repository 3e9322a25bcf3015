/** The live page: vitals to be read at two metres, what is expected next, the last minute, active faults. */
import type { SourceInfo } from '@firstcrank/feed'
import { useEffect, useRef, useState } from 'preact/hooks'
import { soundAlarm, tryAlarm } from '../parts/alarm.js'
import { BeforeStart } from '../parts/live-before.js'
import { LiveFigures } from '../parts/live-figures.js'
import { LiveStage } from '../parts/live-stage.js'
import { useSuccessor } from '../parts/live-successor.js'
import { Vital, vitalName } from '../parts/live-vital.js'
import { areStale, NEW_WATCH, type Sight, type Stage, stageOf, watchOn } from '../parts/live-watch.js'
import { ReplayBar } from '../parts/replay-bar.js'
import { Trend } from '../parts/trend.js'
import { feed, findServer, watchSources } from '../recording/server.js'
import { type LiveState, useLive, usePaused, type VitalChoice } from '../recording/use-live.js'
import { formatRoute } from '../state/route.js'
import { text } from '../words/text.js'

const VITALS: readonly VitalChoice[] = [
  { id: 'speed', spns: [190] },
  { id: 'oil', spns: [100] },
  { id: 'coolant', spns: [110] },
  { id: 'volts', spns: [168, 158] },
]
/** Milliseconds between looks at how old the data are. */
const TICK = 200
const NONE: readonly SourceInfo[] = []

/** The page: the choice of sources, or one of them. */
export function LivePage({ source }: { readonly source: string | null }) {
  const [sources, setSources] = useState<readonly SourceInfo[] | 'none' | null>(null)
  // Kept here, so that it stays on where another source is watched.
  const [sound, setSound] = useState(false)
  useSuccessor(sources === null || sources === 'none' ? NONE : sources, source)
  useEffect(() => {
    document.title = `${text.live.title} · ${text.name}`
    let stop: () => void = () => undefined
    let gone = false
    const start = async (): Promise<void> => {
      if ((await findServer()) === null) return setSources('none')
      await feed()
      if (!gone) stop = watchSources(setSources)
    }
    start().catch(() => setSources('none'))
    return () => {
      gone = true
      stop()
    }
  }, [])
  return (
    <main id="main" class="sheet live">
      <h1>{text.live.title}</h1>
      <p class="safety">{text.live.safety}</p>
      {sources === 'none' && <p class="note">{text.live.noServer}</p>}
      {(sources === 'none' || sources?.length === 0) && <HowTo />}
      {sources !== null && sources !== 'none' && <SourceList sources={sources} chosen={source} />}
      {source !== null && sources !== 'none' && (
        <LiveSheet
          key={source}
          source={source}
          told={sources?.find(({ id }) => id === source) ?? null}
          sound={sound}
          onSound={setSound}
        />
      )}
    </main>
  )
}

function HowTo() {
  return (
    <section aria-labelledby="how-title">
      <h2 id="how-title">{text.live.how}</h2>
      {text.live.howSteps.map((step) => (
        <p key={step}>{step}</p>
      ))}
      <pre class="command">
        <code>{text.live.howCommand}</code>
      </pre>
    </section>
  )
}

function SourceList({ sources, chosen }: { readonly sources: readonly SourceInfo[]; readonly chosen: string | null }) {
  if (sources.length === 0) return <p class="note">{text.live.noSource}</p>
  // Beside the one that is watched they would push the vitals down, out of sight. A replay at its end is paused.
  const isOver = ({ id, state }: SourceInfo): boolean =>
    chosen !== null && id !== chosen && (state === 'ended' || state === 'paused')
  const over = sources.filter(isOver)
  const links = (some: readonly SourceInfo[]) => (
    <ul class="samples">
      {some.map(({ id, title, state }) => (
        <li key={id}>
          <a
            class="sample"
            href={formatRoute({ page: 'live', source: id })}
            aria-current={id === chosen ? 'page' : undefined}
          >
            <strong>{title}</strong>
            <span class="faint">{text.live.states[state]}</span>
          </a>
        </li>
      ))}
    </ul>
  )
  return (
    <nav aria-label={text.live.choose}>
      {links(sources.filter((source) => !isOver(source)))}
      {over.length > 0 && (
        <details class="over">
          <summary>{text.live.over(over.length)}</summary>
          {links(over)}
        </details>
      )}
    </nav>
  )
}

interface LiveSheetProps {
  readonly source: string
  /** As the list has it; null where it is not in it. */
  readonly told: SourceInfo | null
  readonly sound: boolean
  readonly onSound: (on: boolean) => void
}

function LiveSheet({ source, told, sound, onSound }: LiveSheetProps) {
  const replay = told?.replay ?? null
  const [paused, setPaused] = useState(false)
  const current = useLive(source, VITALS)
  const live = usePaused(current, paused)
  const now = useNow()
  // Watched even while the figures are paused.
  const stage = useStage(current)
  const silent = isSilent(current, now)
  const alarm = stage.kind === 'no-oil' && !silent
  useEffect(() => (alarm && sound ? soundAlarm() : undefined), [alarm, sound])
  useEffect(() => {
    document.title = `${alarm ? text.live.oil : text.live.title} · ${text.name}`
  }, [alarm])
  const stale = isSilent(live, now)
  return (
    <>
      <div class="live-bar">
        <p class={(live.state === 'waiting' && told?.state !== 'lost') || !stale ? 'fresh' : 'fresh stale'}>
          {freshWords(live, told, now, stale, paused)}
        </p>
        {replay === null && (
          <button type="button" onClick={() => setPaused(!paused)}>
            {paused ? text.live.resume : text.live.pause}
          </button>
        )}
        <button
          type="button"
          onClick={() => {
            onSound(!sound)
            if (!sound) tryAlarm()
          }}
        >
          {text.live.sound[sound ? 'on' : 'off']}
        </button>
      </div>
      {told !== null && replay !== null && (
        <>
          <p class="replay-words">{text.live.replay(text.replay.times(replay.speed))}</p>
          <ReplayBar source={told} position={replay} />
        </>
      )}
      <LiveStage stage={stage} alarm={alarm} instead={insteadOf(stage, current, told?.lines ?? 0, silent)} />
      <div class="vitals">
        {VITALS.map(({ id }) => (
          <Vital
            key={id}
            id={id}
            vital={live.vitals.get(id)}
            now={now}
            stale={stale}
            begun={live.frames > 0}
            alarm={alarm && id === 'oil'}
          />
        ))}
      </div>
      {replay === null && <BeforeStart source={source} />}
      <h2>{text.live.trend}</h2>
      <div class="trends">
        {VITALS.map(({ id }) => (
          <Trend key={id} vital={live.vitals.get(id)} name={vitalName(id)} />
        ))}
      </div>
      <LiveFigures source={source} paused={paused} />
      <LiveFaults live={live} />
    </>
  )
}

function LiveFaults({ live }: { readonly live: LiveState }) {
  return (
    <section aria-labelledby="live-faults">
      <h2 id="live-faults">{text.live.faults}</h2>
      <div role="status">
        {live.faults.length === 0 && <p>{live.frames === 0 ? text.live.noneYet : text.live.faultsNone}</p>}
        <ul class="fault-list">
          {live.faults.map(({ sa, spn, fmi, name }) => (
            <li key={`${sa}/${spn}/${fmi}`} class="live-fault">
              <span class="lane-code">
                {spn}/{fmi}
              </span>{' '}
              {name ?? `SPN ${spn}`} <span class="faint">{text.live.from(sa)}</span>
            </li>
          ))}
        </ul>
      </div>
    </section>
  )
}

/** The stage of the start; every batch is one moment. */
function useStage({ vitals }: LiveState): Stage {
  const watch = useRef(NEW_WATCH)
  const speed = vitals.get('speed')
  const oil = vitals.get('oil')
  const sight: Sight = { time: speed?.time ?? 0, speed: speed?.value ?? null, oil: oil?.value ?? null }
  watch.current = watchOn(watch.current, sight)
  return stageOf(watch.current, sight)
}

/** Whether what is followed has stopped coming, or never came. */
function isSilent({ came, vitals }: LiveState, now: number): boolean {
  return (
    came === null ||
    areStale(
      now - came,
      [...vitals.values()].map(({ period }) => period),
    )
  )
}

/** What is said of no or old data; but that an engine without oil pressure must not be cranked is said of old data too. */
function insteadOf(stage: Stage, { came, frames, vitals }: LiveState, lines: number, silent: boolean): string | null {
  const words = text.live
  if (came === null && vitals.size > 0) return words.unknownYet
  if (came === null) return frames > 0 ? words.others(frames) : lines > 0 ? words.unread(lines) : words.unknownYet
  return silent && stage.kind !== 'stopped-no-oil' ? words.stages.stale : null
}

function freshWords(
  { state, detail, came, frames }: LiveState,
  told: SourceInfo | null,
  now: number,
  stale: boolean,
  paused: boolean,
): string {
  if (paused) return text.live.paused
  if (state === 'lost') return text.live.lost
  if (state === 'ended' && told === null) return text.live.notThere
  if (state === 'ended' || told?.state === 'ended') return `${text.live.ended} ${detail}`
  if (told?.state === 'lost') return text.live.sourceLost
  if (came === null) return frames > 0 ? text.live.notFollowed : text.live.waiting
  return stale ? text.live.stale(`${((now - came) / 1_000).toFixed(1)} s`) : text.live.fresh
}

/** The page's clock, often enough that stale data are seen to be so within a second. */
function useNow(): number {
  const [now, setNow] = useState(() => performance.now())
  useEffect(() => {
    const timer = setInterval(() => setNow(performance.now()), TICK)
    return () => clearInterval(timer)
  }, [])
  return now
}
