/** The head of the sheet, as on a form: which recording this is. */
import type { OpenRun } from '../recording/use-run.js'
import { formatDuration, formatMoment } from '../state/time.js'
import { titleOf } from '../words/labels.js'
import { text } from '../words/text.js'
import type { SheetFacts } from './model.js'

/** The boxes of the form. */
export function FormBlock({ run, model }: { readonly run: OpenRun; readonly model: SheetFacts }) {
  const { info, report, length } = model
  const { form } = text.sheet
  const frames = info.counts.extended + info.counts.standard
  const boxes: readonly (readonly [string, string])[] = [
    [form.log, run.name],
    [form.recorded, info.dated && info.from !== null ? formatMoment(info.from) : text.sheet.noDate],
    [form.length, formatDuration(length)],
    [
      form.engine,
      report?.engines.map(({ title }) => title).join(', ') || (report === null ? '…' : text.sheet.noEngine),
    ],
    [
      form.nodes,
      info.nodes.length === 0
        ? text.sheet.noEngine
        : `${info.nodes.length}: ${info.nodes.map(titleOf).slice(0, 3).join(', ')}${info.nodes.length > 3 ? ' …' : ''}`,
    ],
    [form.frames, frames.toLocaleString('en')],
    [form.unread, info.counts.malformed.toLocaleString('en')],
    [form.limits, report?.profile?.title ?? text.sheet.defaults],
  ]
  return (
    <dl class="form-block">
      {boxes.map(([name, value]) => (
        <div key={name}>
          <dt>{name}</dt>
          <dd title={value}>{value}</dd>
        </div>
      ))}
    </dl>
  )
}
