/** What happened on the bus beside values, and what was wrong in the file. */
import { NODE_EVENTS, TRANSPORT_EVENTS } from '@firstcrank/decoder'
import type { RecordingInfo } from '@firstcrank/feed'
import { formatDuration, formatTime } from '../state/time.js'
import { plural, text } from '../words/text.js'
import { ScrollBox } from './scroll-box.js'

/** Claims, transport failures, clear commands. */
export function EventTable({ info }: { readonly info: RecordingInfo }) {
  const { eventsColumns: columns } = text.bus
  const zero = info.from ?? 0
  if (info.events.length === 0) return <p class="note">{text.bus.eventsNone}</p>
  return (
    <ScrollBox label={text.bus.parts.events}>
      <table class="card-table">
        <thead>
          <tr>
            <th scope="col" class="number-cell">
              {columns.time}
            </th>
            <th scope="col">{columns.kind}</th>
            <th scope="col">{columns.what}</th>
            <th scope="col">{columns.from}</th>
            <th scope="col">{columns.to}</th>
            <th scope="col">{columns.group}</th>
          </tr>
        </thead>
        <tbody>
          {info.events.map((event, index) => (
            <tr key={`${event.time}/${index}`}>
              <th scope="row" class="number-cell">
                {formatTime((event.time - zero) / 1e6, 0.001)}
              </th>
              <td data-name={columns.kind}>{text.bus.eventKinds[event.kind]}</td>
              <td>
                {event.code.replaceAll('-', ' ')} <span class="mono faint">{event.name}</span>
              </td>
              <td data-name={columns.from}>{event.sa}</td>
              <td data-name={columns.to}>{event.da}</td>
              <td data-name={columns.group}>{event.pgn}</td>
            </tr>
          ))}
        </tbody>
      </table>
      <Meanings codes={[...new Set(info.events.map(({ code }) => code))]} />
    </ScrollBox>
  )
}

const MEANINGS: ReadonlyMap<string, string> = new Map([
  ...Object.entries<string>(NODE_EVENTS),
  ...Object.entries<{ readonly meaning: string }>(TRANSPORT_EVENTS).map(
    ([code, { meaning }]) => [code, meaning] as const,
  ),
])

/** What the words of the table mean. */
function Meanings({ codes }: { readonly codes: readonly string[] }) {
  const known = codes.filter((code) => MEANINGS.has(code))
  if (known.length === 0) return null
  return (
    <dl class="meanings">
      {known.map((code) => (
        <div key={code}>
          <dt>{code.replaceAll('-', ' ')}</dt> <dd>{MEANINGS.get(code)}</dd>
        </div>
      ))}
    </dl>
  )
}

/** Lines that could not be read, and what the clock did. */
export function FileProblems({ info }: { readonly info: RecordingInfo }) {
  const { counts, first } = info.problems
  const { problemsColumns: columns } = text.bus
  return (
    <>
      <CountList info={info} />
      {counts.length === 0 ? (
        <p>{text.bus.problemsNone}</p>
      ) : (
        <table>
          <thead>
            <tr>
              <th scope="col">{columns.code}</th>
              <th scope="col" class="number-cell">
                {columns.count}
              </th>
              <th scope="col">{columns.lost}</th>
            </tr>
          </thead>
          <tbody>
            {counts.map(({ code, count, lost, meaning }) => (
              <tr key={code}>
                <th scope="row">
                  {code.replaceAll('-', ' ')}
                  <br />
                  <span class="faint">{meaning}</span>
                </th>
                <td class="number-cell">{count.toLocaleString('en')}</td>
                <td>{lost ? text.bus.yes : text.bus.no}</td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      {first.length > 0 && <FirstLines first={first} />}
      <Clock info={info} />
    </>
  )
}

function FirstLines({ first }: { first: RecordingInfo['problems']['first'] }) {
  const { problemsColumns: columns } = text.bus
  return (
    <>
      <h2>{text.bus.firstLines}</h2>
      <ScrollBox label={text.bus.firstLines}>
        <table>
          <thead>
            <tr>
              <th scope="col" class="number-cell">
                {columns.line}
              </th>
              <th scope="col">{columns.code}</th>
              <th scope="col">{columns.text}</th>
            </tr>
          </thead>
          <tbody>
            {first.map(({ code, line, text: words }) => (
              <tr key={`${line}/${code}`}>
                <th scope="row" class="number-cell">
                  {line.toLocaleString('en')}
                </th>
                <td>{code.replaceAll('-', ' ')}</td>
                <td class="mono">{words}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </ScrollBox>
    </>
  )
}

function CountList({ info }: { readonly info: RecordingInfo }) {
  const { lines, extended, standard, remote, fd, error, malformed } = info.counts
  const parts = [
    plural(lines, 'line'),
    `${extended.toLocaleString('en')} frames with 29-bit identifier`,
    `${standard.toLocaleString('en')} with 11-bit identifier`,
    `${remote.toLocaleString('en')} remote frames`,
    `${fd.toLocaleString('en')} CAN FD frames`,
    error === 0 ? text.bus.errorNotRecorded : plural(error, 'error frame'),
    `${plural(malformed, 'line')} not read`,
  ]
  return (
    <ul class="plain-list">
      {parts.map((part) => (
        <li key={part}>{part}</li>
      ))}
    </ul>
  )
}

function Clock({ info }: { readonly info: RecordingInfo }) {
  const { holes, jumps, steps, backwards } = info.clock
  const zero = info.from ?? 0
  const lines = [
    ...holes.kept.map(
      ({ from, to }) => `${formatTime((from - zero) / 1e6)}: ${text.spine.hole(formatDuration((to - from) / 1e6))}`,
    ),
    ...jumps.kept.map(
      ({ from, to }) => `${formatTime((from - zero) / 1e6)}: ${text.spine.jump(formatDuration((to - from) / 1e6))}`,
    ),
    ...steps.kept.map(
      ({ at, step }) => `${formatTime((at - zero) / 1e6)}: ${text.spine.jump(formatDuration(step / 1e6))}`,
    ),
    ...(backwards.count > 0
      ? [`${plural(backwards.count, 'time')} backwards, at most ${formatDuration(backwards.largest / 1e6)}`]
      : []),
  ]
  return (
    <>
      <h2>{text.bus.clock}</h2>
      {lines.length === 0 ? (
        <p>{text.bus.clockFine}</p>
      ) : (
        <ul class="plain-list">
          {lines.map((line) => (
            <li key={line}>{line}</li>
          ))}
        </ul>
      )}
    </>
  )
}
