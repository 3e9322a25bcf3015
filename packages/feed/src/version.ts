/** Version of the feed: what server and viewer say over a socket. */

/** Grows when a program that speaks the version before would misunderstand the new one. */
export const FEED_VERSION = 1

/** WebSocket subprotocol that names the version; a server refuses a client that does not offer it. */
export const FEED_PROTOCOL = `firstcrank.${FEED_VERSION}` as const

/** Path of the feed on a server. */
export const FEED_PATH = '/feed'
