/** Counts and levels for a monitoring system, in the OpenMetrics text form. */

/** Media type of the form. */
export const METRICS_TYPE = 'application/openmetrics-text; version=1.0.0; charset=utf-8'

type Kind = 'counter' | 'gauge'

interface Metric {
  readonly kind: Kind
  readonly help: string
}

/** Everything that is measured. */
const METRICS = {
  firstcrank_requests: { kind: 'counter', help: 'HTTP requests answered, by class of status.' },
  firstcrank_refused: { kind: 'counter', help: 'Requests refused, by code.' },
  firstcrank_clients: { kind: 'gauge', help: 'Clients connected to the feed.' },
  firstcrank_follows: { kind: 'gauge', help: 'Live recordings being followed, summed over clients.' },
  firstcrank_batches: { kind: 'counter', help: 'Live batches sent.' },
  firstcrank_batch_bytes: { kind: 'counter', help: 'Bytes of live batches sent.' },
  firstcrank_batches_held: { kind: 'counter', help: 'Ticks at which a client was not yet ready for more.' },
  firstcrank_tick_seconds: { kind: 'gauge', help: 'Time the last tick of the feed took.' },
  firstcrank_source_lines: { kind: 'gauge', help: 'Lines taken from a source.' },
  firstcrank_source_messages_kept: { kind: 'gauge', help: 'Messages of a source in memory.' },
  firstcrank_recorder_written_bytes: { kind: 'gauge', help: 'Bytes a recorder gave to the system.' },
  firstcrank_recorder_synced_bytes: { kind: 'gauge', help: 'Bytes of a recorder known to be on the disk.' },
  firstcrank_recorder_dropped_lines: { kind: 'gauge', help: 'Lines a recorder could not write.' },
  firstcrank_recordings: { kind: 'gauge', help: 'Recordings held in memory.' },
  firstcrank_recordings_bytes: { kind: 'gauge', help: 'Bytes they take, about.' },
  firstcrank_runs_waiting: { kind: 'gauge', help: 'Runs that wait to be read.' },
  firstcrank_thread_calls: { kind: 'gauge', help: 'Calls to threads that have not returned.' },
  firstcrank_thread_deaths: { kind: 'counter', help: 'Threads that died.' },
  firstcrank_resident_bytes: { kind: 'gauge', help: 'Memory of the process.' },
  firstcrank_processor_seconds: { kind: 'counter', help: 'Processor time of the process.' },
  firstcrank_uptime_seconds: { kind: 'gauge', help: 'Time since the server started.' },
} as const satisfies Record<`firstcrank_${string}`, Metric>

export type MetricName = keyof typeof METRICS

/** Keeps what is measured. */
export class Metrics {
  readonly #values = new Map<MetricName, Map<string, number>>()

  /** Adds to a counter. `label` is one pair, such as `status="2xx"`. */
  add(name: MetricName, amount = 1, label = ''): void {
    const series = this.#series(name)
    series.set(label, (series.get(label) ?? 0) + amount)
  }

  /** Sets a level, or a counter that is kept elsewhere. */
  set(name: MetricName, value: number, label = ''): void {
    this.#series(name).set(label, value)
  }

  /** Forgets a level's series, such as those of sources that are gone. */
  clear(name: MetricName): void {
    this.#values.delete(name)
  }

  /** One value; 0 where nothing was measured. */
  value(name: MetricName, label = ''): number {
    return this.#values.get(name)?.get(label) ?? 0
  }

  /** All of it as text. */
  text(): string {
    const lines: string[] = []
    for (const [name, { kind, help }] of Object.entries(METRICS) as [MetricName, Metric][]) {
      lines.push(`# TYPE ${name} ${kind}`, `# HELP ${name} ${help}`)
      const sample = kind === 'counter' ? `${name}_total` : name
      for (const [label, value] of this.#series(name)) lines.push(`${sample}${label && `{${label}}`} ${value}`)
    }
    return `${lines.join('\n')}\n# EOF\n`
  }

  #series(name: MetricName): Map<string, number> {
    let series = this.#values.get(name)
    if (series === undefined) {
      series = new Map()
      this.#values.set(name, series)
    }
    return series
  }
}

/** A label with its value made safe. */
export function label(name: string, value: string): string {
  return `${name}="${value.replaceAll('\\', '\\\\').replaceAll('"', '\\"').replaceAll('\n', '\\n')}"`
}
