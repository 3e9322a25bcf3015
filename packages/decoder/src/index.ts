export { abortReason } from './bus/abort-reasons.js'
export { BUS_ERRORS, BusError, type BusErrorCode } from './bus/error.js'
export type { ControllerState, ErrorClass, ErrorFrame } from './bus/error-frame.js'
export * from './bus/identifier.js'
export type { ChannelLoad, LoadSeries } from './bus/load.js'
export type { Message, Transported } from './bus/message.js'
export { decodeName, encodeName, type Name, type NameFields } from './bus/name.js'
export { NODE_EVENTS, type NodeCode, type NodeEvent } from './bus/nodes.js'
export { TRANSPORT_EVENTS, type TransportCode, type TransportEvent } from './bus/transport-events.js'
export * from './catalog/catalogue.js'
export * from './catalog/definition.js'
export * from './diagnostics/index.js'
export type { ClockReport } from './log/clock.js'
export { FrameBatch, FrameKeys } from './log/frame-batch.js'
export type { Problem, ProblemCode, ProblemCount, ProblemDefinition } from './log/problem.js'
export { PROBLEMS } from './log/problem.js'
export { LogReader, type OtherFrame, type ReaderCounts, type ReaderOptions, type ReaderSink } from './log/reader.js'
export { BusDecoder, type BusOptions, type BusSink } from './recording/bus-decoder.js'
export type { DecodedMessage } from './recording/decoded-message.js'
export type { DiagnosticReport, ReportMessage } from './recording/diagnostic-reports.js'
export { RecordingError, type RecordingErrorCode } from './recording/error.js'
export type { BusEvent, ClearEvent } from './recording/events.js'
export {
  FrameDecoder,
  type FrameDecoderOptions,
  FrameError,
  type FrameErrorCode,
  type FrameInput,
  type FrameSink,
} from './recording/frame-decoder.js'
export {
  createLogDecoder,
  type LogDecoder,
  type LogOptions,
  type LogSink,
  readThrough,
} from './recording/log-decoder.js'
export { type MessageHead, type MessageOptions, readMessages } from './recording/messages.js'
export {
  type MessageQuery,
  openRecording,
  Recording,
  type RecordingOptions,
  type SignalQuery,
} from './recording/recording.js'
export { problemLines, type ReportLine, type ReportPart, reportParts } from './recording/report-parts.js'
export { type Samples, Signal, type StatusInterval } from './recording/signal.js'
export { type LogSource, LogSourceError, type LogSourceErrorCode } from './recording/source.js'
export type { Stream } from './recording/stream.js'
export {
  type GroupSummary,
  type LogSummary,
  type NodeSummary,
  type SummaryOptions,
  summarizeLog,
} from './recording/summary.js'
export type { StreamTraffic } from './recording/traffic.js'
export {
  type ColumnDefinition,
  type ColumnReader,
  columnReader,
  compileReader,
  isColumnDefinition,
} from './signal/column.js'
export * from './signal/encode.js'
export { STATUSES, type Status } from './signal/status.js'
export { decodeGroup, decodeSignal, type SignalValue } from './signal/value.js'
