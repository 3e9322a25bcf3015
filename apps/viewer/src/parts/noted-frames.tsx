/** Freeze frames of one fault: what its node noted when the fault came. */
import type { FaultInfo, RecordingInfo } from '@firstcrank/feed'
import { changeBus } from '../state/location.js'
import { formatTime } from '../state/time.js'
import { text } from '../words/text.js'
import { isFreezeFrame, ReportLines, reportStreams } from './report-lines.js'

interface NotedProps {
  readonly info: RecordingInfo
  readonly fault: Pick<FaultInfo, 'channel' | 'sa' | 'spn' | 'fmi'>
}

/** The latest frame of each message; nothing where the node told of none. */
export function NotedFrames({ info, fault }: NotedProps) {
  const { channel, sa, spn, fmi } = fault
  const own = info.reports
    .filter((report) => isFreezeFrame(report) && report.channel === channel && report.sa === sa)
    .map((report) => ({
      ...report,
      parts: report.parts.filter((part) => part.fault?.spn === spn && part.fault.fmi === fmi),
    }))
    .filter(({ parts }) => parts.length > 0)
  if (own.length === 0) return null
  return (
    <>
      <h3>{text.fault.noted}</h3>
      {reportStreams(own).map(({ latest: { dm, da, parts, lastTime } }) => (
        <div key={`${dm}/${da}`}>
          <p class="faint">{text.fault.notedAt(dm, formatTime((lastTime - (info.from ?? 0)) / 1e6, 0.1))}</p>
          {parts.map(({ lines }, place) => (
            <ReportLines key={place} lines={lines} />
          ))}
        </div>
      ))}
      <p>
        <button type="button" class="see" onClick={() => changeBus({ part: 'reports' }, 'push')}>
          {text.fault.notedAll}
        </button>
      </p>
    </>
  )
}
