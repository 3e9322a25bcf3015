/** Nodes and groups of a recording as tables. */
import type { RecordingInfo, StreamInfo } from '@firstcrank/feed'
import { useState } from 'preact/hooks'
import { changeBus } from '../state/location.js'
import { formatRoute, PLAIN_SHEET, runRoute } from '../state/route.js'
import { formatDuration, formatTime } from '../state/time.js'
import { windowAround } from '../state/window.js'
import { nodeTitle, titleOf } from '../words/labels.js'
import { text } from '../words/text.js'
import { ScrollBox } from './scroll-box.js'

/** A PGN as people write it. */
export const pgnText = (pgn: number): string => `${pgn} (0x${pgn.toString(16).toUpperCase().padStart(4, '0')})`

const GLOBAL = 255

/** Who speaks. */
export function NodeTable({ info }: { readonly info: RecordingInfo }) {
  const { nodesColumns: columns } = text.bus
  return (
    <ScrollBox label={text.bus.parts.nodes}>
      <table class="card-table">
        <thead>
          <tr>
            <th scope="col">{columns.address}</th>
            <th scope="col">{columns.title}</th>
            <th scope="col">{columns.name}</th>
            <th scope="col" class="number-cell">
              {columns.groups}
            </th>
            <th scope="col" class="number-cell">
              {columns.messages}
            </th>
            <th scope="col">{columns.texts}</th>
          </tr>
        </thead>
        <tbody>
          {info.nodes.map((node) => {
            const streams = info.streams.filter(({ channel, sa }) => channel === node.channel && sa === node.sa)
            return (
              <tr key={`${node.channel}/${node.sa}`}>
                <th scope="row">
                  <button type="button" class="see" onClick={() => changeBus({ part: 'groups', sa: node.sa }, 'push')}>
                    {node.sa}
                  </button>{' '}
                  <span class="faint">{node.channel}</span>
                </th>
                <td>{titleOf(node)}</td>
                <td class="mono" data-name={columns.name}>
                  {node.name ?? <span class="faint">{text.bus.unclaimed}</span>}
                </td>
                <td class="number-cell" data-name={columns.groups}>
                  {streams.length}
                </td>
                <td class="number-cell" data-name={columns.messages}>
                  {streams.reduce((sum, { count }) => sum + count, 0).toLocaleString('en')}
                </td>
                <td>
                  {node.texts.map(({ name, text: said }) => (
                    <div key={name}>
                      <span class="faint">{name}:</span> {said}
                    </div>
                  ))}
                </td>
              </tr>
            )
          })}
        </tbody>
      </table>
    </ScrollBox>
  )
}

interface GroupTableProps {
  /** Id of the run. */
  readonly run: string
  readonly info: RecordingInfo
  readonly sa: number | null
}

/** What is sent, from whom, how often, and how long it once was not. */
export function GroupTable({ run, info, sa }: GroupTableProps) {
  const [words, setWords] = useState('')
  const { groupsColumns: columns } = text.bus
  const zero = info.from ?? 0
  const wanted = words.toLowerCase().split(/\s+/).filter(Boolean)
  const streams = info.streams
    .filter((stream) => sa === null || stream.sa === sa)
    .filter((stream) => {
      const all = `${stream.pgn} ${stream.acronym ?? ''} ${stream.name ?? ''} ${stream.sa}`.toLowerCase()
      return wanted.every((word) => all.includes(word))
    })
    .sort((a, b) => a.pgn - b.pgn || a.sa - b.sa)
  return (
    <>
      <p class="filters">
        <label class="field">
          {text.bus.filter}
          <input type="search" value={words} onInput={(event) => setWords(event.currentTarget.value)} />
        </label>
        {sa !== null && (
          <button type="button" onClick={() => changeBus({ sa: null }, 'push')}>
            {text.bus.only(`${sa}`)} ×
          </button>
        )}
      </p>
      <ScrollBox label={text.bus.parts.groups}>
        <table class="card-table">
          <thead>
            <tr>
              <th scope="col">{columns.pgn}</th>
              <th scope="col">{columns.group}</th>
              <th scope="col">{columns.from}</th>
              <th scope="col">{columns.to}</th>
              <th scope="col" class="number-cell">
                {columns.count}
              </th>
              <th scope="col" class="number-cell">
                {columns.period}
              </th>
              <th scope="col" class="number-cell">
                {columns.silence}
              </th>
              <th scope="col" class="number-cell">
                {columns.first}
              </th>
              <th scope="col" class="number-cell">
                {columns.last}
              </th>
            </tr>
          </thead>
          <tbody>
            {streams.map((stream) => (
              <GroupRow
                key={`${stream.channel}/${stream.pgn}/${stream.sa}/${stream.da}`}
                stream={stream}
                run={run}
                info={info}
                zero={zero}
              />
            ))}
          </tbody>
        </table>
      </ScrollBox>
    </>
  )
}

interface GroupRowProps extends Omit<GroupTableProps, 'sa'> {
  readonly stream: StreamInfo
  readonly zero: number
}

function GroupRow({ stream, run, info, zero }: GroupRowProps) {
  const { channel, pgn, sa, da, acronym, name, count, period, silence, firstTime, lastTime } = stream
  const { groupsColumns: columns } = text.bus
  return (
    <tr>
      <th scope="row">
        <button type="button" class="see" onClick={() => changeBus({ part: 'frames', pgn, sa, row: null }, 'push')}>
          {pgn}
        </button>
      </th>
      <td>
        {acronym === null ? (
          <span class="faint">{text.bus.undefined}</span>
        ) : (
          <>
            <strong>{acronym}</strong> {name}
          </>
        )}
      </td>
      <td data-name={columns.from}>
        {sa} <span class="faint">{nodeTitle(info, channel, sa)}</span>
      </td>
      <td data-name={columns.to}>{da === GLOBAL ? text.bus.everyone : da}</td>
      <td class="number-cell" data-name={columns.count}>
        {count.toLocaleString('en')}
      </td>
      <td class="number-cell" data-name={columns.period}>
        {period === null ? '–' : formatDuration(period / 1e6)}
      </td>
      <td class="number-cell" data-name={columns.silence}>
        {silence === null ? '–' : <SilenceLink silence={silence} run={run} info={info} zero={zero} group={`${pgn}`} />}
      </td>
      <td class="number-cell" data-name={columns.first}>
        {firstTime === null ? '–' : formatTime((firstTime - zero) / 1e6, 0.1)}
      </td>
      <td class="number-cell" data-name={columns.last}>
        {lastTime === null ? '–' : formatTime((lastTime - zero) / 1e6, 0.1)}
      </td>
    </tr>
  )
}

interface SilenceProps extends Omit<GroupRowProps, 'stream'> {
  readonly silence: NonNullable<StreamInfo['silence']>
  readonly group: string
}

/** How long it was, with a way to that moment on the test sheet. */
function SilenceLink({ silence, run, info, zero, group }: SilenceProps) {
  const [from, to] = [(silence.from - zero) / 1e6, (silence.to - zero) / 1e6]
  const window = windowAround(from, to, ((info.to ?? zero) - zero) / 1e6)
  const at = formatTime(from, 0.1)
  return (
    <a
      href={formatRoute({ ...runRoute(run), sheet: { ...PLAIN_SHEET, window, at: from } })}
      aria-label={`${formatDuration(to - from)}. ${text.bus.silenceAt(at, group)}`}
    >
      {formatDuration(to - from)}
    </a>
  )
}
