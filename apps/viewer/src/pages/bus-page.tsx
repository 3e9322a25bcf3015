/** The bus: who speaks, what and how often, load, events, the file, and every message bit by bit. */
import type { RecordingInfo } from '@firstcrank/feed'
import { normalizeProps, useMachine } from '@zag-js/preact'
import * as tabs from '@zag-js/tabs'
import { EventTable, FileProblems } from '../parts/bus-events.js'
import { LoadPart } from '../parts/bus-load.js'
import { BusReports } from '../parts/bus-reports.js'
import { GroupTable, NodeTable } from '../parts/bus-tables.js'
import { MessageList } from '../parts/message-list.js'
import type { OpenRun } from '../recording/use-run.js'
import { changeBus } from '../state/location.js'
import type { BusState } from '../state/route.js'
import { text } from '../words/text.js'

const PARTS = ['nodes', 'groups', 'reports', 'load', 'events', 'problems', 'frames'] as const

interface BusPageProps {
  readonly run: OpenRun
  readonly info: RecordingInfo
  readonly state: BusState
}

/** The page. */
export function BusPage({ run, info, state }: BusPageProps) {
  const part = PARTS.find((candidate) => candidate === state.part) ?? 'nodes'
  const service = useMachine(tabs.machine, {
    id: 'bus',
    value: part,
    translations: { listLabel: text.bus.partsLabel },
    onValueChange: ({ value }) => changeBus({ part: value }, 'push'),
  })
  const api = tabs.connect(service, normalizeProps)
  return (
    <main id="main" class="sheet">
      <h1 class="bus-title">{text.bus.title}</h1>
      <p class="faint">{text.bus.lead}</p>
      <div {...api.getRootProps()}>
        <div {...api.getListProps()} class="tab-list">
          {PARTS.map((value) => (
            <button type="button" key={value} {...api.getTriggerProps({ value })}>
              {text.bus.parts[value]}
            </button>
          ))}
        </div>
        {PARTS.map((value) => (
          <div key={value} {...api.getContentProps({ value })} class="tab-panel">
            {value === part && <Part part={value} run={run} info={info} state={state} />}
          </div>
        ))}
      </div>
    </main>
  )
}

function Part({ part, run, info, state }: BusPageProps & { readonly part: (typeof PARTS)[number] }) {
  switch (part) {
    case 'nodes':
      return <NodeTable info={info} />
    case 'groups':
      return <GroupTable run={run.id} info={info} sa={state.sa} />
    case 'reports':
      return <BusReports run={run.id} info={info} />
    case 'load':
      return <LoadPart info={info} />
    case 'events':
      return <EventTable info={info} />
    case 'problems':
      return <FileProblems info={info} />
    case 'frames':
      return run.source === null ? null : <MessageList source={run.source} info={info} state={state} />
  }
}
