// biome-ignore-all lint/a11y/noNoninteractiveTabindex: the list takes the focus and the keys for its rows
// biome-ignore-all lint/a11y/useSemanticElements: rows are placed by hand; a table element would place them itself
// biome-ignore-all lint/a11y/useFocusableInteractive: the list takes the focus and the keys for its rows
/** Raw messages in order of time: a list of any length of which only the rows in sight exist. */
import type { MessagesPage, RawMessage, RecordingInfo } from '@firstcrank/feed'
import { elementScroll, observeElementOffset, observeElementRect, Virtualizer } from '@tanstack/virtual-core'
import { useEffect, useLayoutEffect, useReducer, useRef, useState } from 'preact/hooks'
import type { Source } from '../recording/open.js'
import { changeBus } from '../state/location.js'
import type { BusState } from '../state/route.js'
import { formatTime } from '../state/time.js'
import { nodeTitle } from '../words/labels.js'
import { text } from '../words/text.js'
import { MessageBits } from './message-bits.js'

const ROW_HEIGHT = 30
/** Messages fetched at a time. */
const PAGE = 200
/** Pages kept; the rest is fetched again when it comes into sight. */
const MOST_PAGES = 40
/** Browsers end an element at about 33 million pixels; beyond this the list is pressed together. */
const TALLEST = 15_000_000

interface MessageListProps {
  readonly source: Source
  readonly info: RecordingInfo
  readonly state: BusState
}

/** The list, its filters, and the message that is opened. */
export function MessageList({ source, info, state }: MessageListProps) {
  const { pgn, sa, row } = state
  const pages = usePages(source, { pgn, sa })
  const opened = row === null ? undefined : pages.message(row)
  useEffect(() => {
    if (row !== null) pages.want(row)
  }, [row, pgn, sa])
  const groups = [...new Map(info.streams.map((stream) => [stream.pgn, stream])).values()].sort((a, b) => a.pgn - b.pgn)
  const numberOf = (value: string): number | null => (value === '' ? null : Number(value))
  return (
    <div class="messages">
      <div>
        <p class="filters">
          <label class="field">
            {text.bus.group}
            <select
              value={pgn ?? ''}
              onChange={(event) => changeBus({ pgn: numberOf(event.currentTarget.value), row: null })}
            >
              <option value="">{text.bus.allGroups}</option>
              {groups.map((stream) => (
                <option key={stream.pgn} value={stream.pgn}>
                  {stream.pgn} {stream.acronym ?? ''}
                </option>
              ))}
            </select>
          </label>
          <label class="field">
            {text.bus.node}
            <select
              value={sa ?? ''}
              onChange={(event) => changeBus({ sa: numberOf(event.currentTarget.value), row: null })}
            >
              <option value="">{text.bus.allNodes}</option>
              {info.nodes.map((node) => (
                <option key={`${node.channel}${node.sa}`} value={node.sa}>
                  {node.sa} {nodeTitle(info, node.channel, node.sa)}
                </option>
              ))}
            </select>
          </label>
        </p>
        <p class="faint" role="status">
          {pages.total === null ? '' : pages.total === 0 ? text.bus.framesNone : text.bus.framesLead(pages.total)}
        </p>
        {pages.total !== null && pages.total > 0 && (
          <Rows key={`${pgn}/${sa}`} pages={pages} info={info} row={row} total={pages.total} />
        )}
      </div>
      <aside class="opened" aria-label={text.bus.opened} aria-live="polite">
        {opened === undefined ? <p class="note">{text.bus.choose}</p> : <MessageBits message={opened} info={info} />}
      </aside>
    </div>
  )
}

interface Pages {
  readonly total: number | null
  message(row: number): RawMessage | undefined
  want(row: number): void
}

/** Pages of messages, fetched when they are wanted. */
function usePages(source: Source, { pgn, sa }: Pick<BusState, 'pgn' | 'sa'>): Pages {
  const [, redraw] = useReducer((count: number) => count + 1, 0)
  const known = useRef<{ key: string; total: number | null; pages: Map<number, MessagesPage | null> }>({
    key: '',
    total: null,
    pages: new Map(),
  })
  const key = `${pgn}/${sa}`
  if (known.current.key !== key) known.current = { key, total: null, pages: new Map() }
  const store = known.current
  const want = (row: number): void => {
    const number = Math.floor(row / PAGE)
    if (store.pages.has(number)) return
    store.pages.set(number, null)
    for (const old of store.pages.keys()) {
      if (store.pages.size <= MOST_PAGES) break
      if (Math.abs(old - number) > 2) store.pages.delete(old)
    }
    const query = { row: number * PAGE, limit: PAGE, ...(pgn === null ? {} : { pgn }), ...(sa === null ? {} : { sa }) }
    source.messages(query).then(
      (page) => {
        store.pages.set(number, page)
        store.total = page.total
        redraw(0)
      },
      () => store.pages.delete(number),
    )
  }
  useEffect(() => want(0), [source, key])
  return {
    total: store.total,
    message: (row) => store.pages.get(Math.floor(row / PAGE))?.messages[row % PAGE],
    want,
  }
}

function Rows({
  pages,
  info,
  row: chosen,
  total,
}: {
  pages: Pages
  info: RecordingInfo
  row: number | null
  total: number
}) {
  const scroller = useRef<HTMLDivElement>(null)
  const [, redraw] = useReducer((count: number) => count + 1, 0)
  const height = Math.min(ROW_HEIGHT, TALLEST / total)
  const [virtual] = useState(
    () =>
      new Virtualizer<HTMLDivElement, HTMLElement>({
        count: total,
        estimateSize: () => height,
        overscan: 8,
        getScrollElement: () => scroller.current,
        observeElementRect,
        observeElementOffset,
        scrollToFn: elementScroll,
        initialOffset: Math.max(0, (chosen ?? 0) * height - 120),
        onChange: () => redraw(0),
      }),
  )
  useLayoutEffect(() => virtual._didMount(), [virtual])
  useLayoutEffect(() => virtual._willUpdate())
  const items = virtual.getVirtualItems()
  // Where rows are pressed together, those that fit are shown from the first one in sight.
  const shown =
    height < ROW_HEIGHT ? items.slice(0, Math.ceil((scroller.current?.clientHeight ?? 600) / ROW_HEIGHT)) : items
  const top = items[0]?.start ?? 0
  for (const { index } of shown) pages.want(index)
  const open = (row: number): void => changeBus({ row })
  const press = (event: KeyboardEvent): void => {
    const step = { ArrowDown: 1, ArrowUp: -1, PageDown: 20, PageUp: -20 }[event.key]
    const next =
      event.key === 'Home' ? 0 : event.key === 'End' ? total - 1 : step === undefined ? null : (chosen ?? -1) + step
    if (next === null) return
    event.preventDefault()
    const row = Math.min(total - 1, Math.max(0, next))
    open(row)
    virtual.scrollToIndex(row)
  }
  const zero = info.from ?? 0
  const { framesColumns: columns } = text.bus
  return (
    <div class="message-table" role="table" aria-rowcount={total + 1} aria-label={text.bus.parts.frames}>
      <div role="rowgroup">
        <div class="message-row head-row" role="row">
          {Object.entries(columns).map(([key, name]) => (
            <span key={key} role="columnheader" class={`cell-${key}`}>
              {name}
            </span>
          ))}
        </div>
      </div>
      <div
        ref={scroller}
        class="message-scroll"
        role="rowgroup"
        tabIndex={0}
        aria-label={text.bus.parts.frames}
        onKeyDown={press}
      >
        <div class="message-space" role="presentation" style={{ height: `${virtual.getTotalSize()}px` }}>
          {shown.map(({ index }, place) => {
            const message = pages.message(index)
            const y = height < ROW_HEIGHT ? top + place * ROW_HEIGHT : index * ROW_HEIGHT
            return (
              // biome-ignore lint/a11y/useKeyWithClickEvents: the list around it takes the keys
              <div
                key={index}
                class={index === chosen ? 'message-row chosen-row' : 'message-row'}
                role="row"
                tabIndex={-1}
                aria-rowindex={index + 2}
                aria-selected={index === chosen}
                style={{ transform: `translateY(${y}px)` }}
                onClick={() => open(index)}
              >
                <span role="cell" class="cell-time">
                  {message === undefined ? '…' : formatTime((message.time - zero) / 1e6, 0.0001)}
                </span>
                <span role="cell" class="cell-group">
                  {message === undefined ? '' : groupName(info, message)}
                </span>
                <span role="cell" class="cell-from">
                  {message?.sa}
                </span>
                <span role="cell" class="cell-to">
                  {message === undefined ? '' : message.da === 255 ? text.bus.everyone : message.da}
                </span>
                <span role="cell" class="cell-data mono">
                  {message?.data.slice(0, 48).replace(/..(?!$)/g, '$& ')}
                  {message !== undefined && message.data.length > 48 ? '…' : ''}
                </span>
              </div>
            )
          })}
        </div>
      </div>
    </div>
  )
}

function groupName(info: RecordingInfo, { pgn }: RawMessage): string {
  const acronym = info.streams.find((stream) => stream.pgn === pgn)?.acronym
  return acronym == null ? `${pgn}` : `${pgn} ${acronym}`
}
