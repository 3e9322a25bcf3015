/** What nodes say in diagnostic messages beside fault lists, node by node: freeze frames, readiness and the like. */
import type { RecordingInfo, ReportInfo } from '@firstcrank/feed'
import { changeBus } from '../state/location.js'
import { formatRoute, PLAIN_SHEET, runRoute } from '../state/route.js'
import { formatTime } from '../state/time.js'
import { diagnosticsText as words } from '../words/diagnostics-text.js'
import { addressText, nodeTitle } from '../words/labels.js'
import { text } from '../words/text.js'
import { faultKey } from './model.js'
import { isFreezeFrame, ReportLines, type ReportStream, reportStreams } from './report-lines.js'

interface ReportsProps {
  /** Id of the run. */
  readonly run: string
  readonly info: RecordingInfo
}

/** The part of the bus page. */
export function BusReports({ run, info }: ReportsProps) {
  const { reports, reportsDropped } = info
  if (reports.length === 0) return <p class="note">{words.none}</p>
  const nodes = new Map(reports.map((report) => [`${report.channel}/${report.sa}`, report]))
  return (
    <>
      <p class="faint">{words.lead}</p>
      {!reports.some(isFreezeFrame) && <p class="note">{words.noFrame}</p>}
      {[...nodes]
        .sort(([, a], [, b]) => a.sa - b.sa)
        .map(([key, { channel, sa }]) => (
          <section key={key} class="reports">
            <h2>
              {nodeTitle(info, channel, sa)}{' '}
              <span class="faint">
                {addressText(sa)} · {channel}
              </span>
            </h2>
            {reportStreams(reports.filter((report) => report.channel === channel && report.sa === sa)).map((stream) => (
              <Stream key={`${stream.latest.pgn}/${stream.latest.da}`} stream={stream} run={run} info={info} />
            ))}
          </section>
        ))}
      {reportsDropped > 0 && <p class="note">{words.dropped(reportsDropped)}</p>}
    </>
  )
}

interface StreamProps extends ReportsProps {
  readonly stream: ReportStream
}

function Stream({ stream: { latest, earlier }, run, info }: StreamProps) {
  const { dm, name, pgn, sa, da, channel } = latest
  const to = da === GLOBAL ? words.toAll : words.to(nodeTitle(info, channel, da))
  return (
    <>
      <h3>
        DM{dm} · {name}
      </h3>
      <p class="faint">
        {to} · <Times report={latest} info={info} />{' '}
        <button type="button" class="see" onClick={() => changeBus({ part: 'frames', pgn, sa, row: null }, 'push')}>
          {words.messages(dm)}
        </button>
      </p>
      <Content report={latest} run={run} info={info} />
      {earlier.length > 0 && (
        <details>
          <summary>{words.earlier(earlier.length)}</summary>
          {earlier.map((report) => (
            <div key={report.firstTime}>
              <p class="faint">
                <Times report={report} info={info} />
              </p>
              <Content report={report} run={run} info={info} />
            </div>
          ))}
        </details>
      )}
    </>
  )
}

const GLOBAL = 255

function Times({ report: { firstTime, lastTime, count }, info }: { report: ReportInfo; info: RecordingInfo }) {
  const [first, last] = [firstTime, lastTime].map((time) => formatTime((time - (info.from ?? 0)) / 1e6, 0.1))
  return <>{words.times(count, first ?? '', last ?? '')}</>
}

function Content({ report: { channel, sa, parts }, run, info }: ReportsProps & { readonly report: ReportInfo }) {
  return (
    <>
      {parts.map(({ fault, lines }, place) => (
        <div key={`${place}/${fault?.spn}`}>
          {fault !== null && (
            <>
              <h4>{words.frameOf(fault.name, fault.meaning)}</h4>
              <p class="faint">
                <FaultLink run={run} info={info} channel={channel} fault={{ sa, ...fault }} />
                {fault.count !== null && ` · ${text.spine.occurrences(fault.count)}`}
                {fault.ambiguous && ` · ${text.fault.ambiguous}`}
              </p>
            </>
          )}
          <ReportLines lines={lines} />
        </div>
      ))}
    </>
  )
}

interface FaultLinkProps extends ReportsProps {
  readonly channel: string
  readonly fault: { readonly sa: number; readonly spn: number; readonly fmi: number }
}

/** The fault's code, with a way to its pane where the node lists it as active. */
function FaultLink({ run, info, channel, fault }: FaultLinkProps) {
  const { spn, fmi } = fault
  const key = faultKey(fault)
  const isListed = info.faults.some(
    (listed) => listed.state === 'active' && listed.channel === channel && faultKey(listed) === key,
  )
  if (!isListed) return <>{text.fault.code(spn, fmi)}</>
  return (
    <a href={formatRoute({ ...runRoute(run), sheet: { ...PLAIN_SHEET, open: key } })}>{text.fault.code(spn, fmi)}</a>
  )
}
