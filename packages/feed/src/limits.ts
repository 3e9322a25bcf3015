/**
 * How much one request may ask for. Checked by the schemas, so by both ends. All figures: our own
 * choice, from what a screen can show, with room to spare.
 */

/** Signals in one window or followed together. */
export const MAX_SIGNALS = 64
/** Columns of a picture: more than any screen has pixels across. */
export const MAX_COLUMNS = 8_192
/** Messages on one page. */
export const MAX_PAGE = 2_000
/** Things a client follows at a time. */
export const MAX_FOLLOWS = 16
/** Bytes of one text message from a client. */
export const MAX_CLIENT_BYTES = 65_536
/** Microseconds of history that come with a follow: a day. */
export const MAX_SPAN = 86_400_000_000
/** Batches a client may leave unacknowledged before the server waits. At 20 a second, eight tenths of a second. */
export const MAX_UNACKNOWLEDGED = 16
