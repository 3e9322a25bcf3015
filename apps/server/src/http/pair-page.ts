/**
 * The page on which a device of the network is paired. It needs no script and no viewer: the code that
 * the terminal shows is typed into it, or comes in the address that the terminal shows as a picture.
 */
import { createHash } from 'node:crypto'
import { FeedError, PROBLEMS_BY_CODE } from '@firstcrank/feed'
import express, { type Express, type RequestHandler, type Response } from 'express'
import type { Context } from './context.js'
import { COOKIE, type Guard } from './guard.js'
import { TOKEN_SECONDS } from './pairing.js'
import { isPage } from './viewer.js'

/** Where the page is. */
export const PAIR_PATH = '/pair'

const STYLE =
  'body{font:1.1rem/1.5 system-ui,sans-serif;max-width:26rem;margin:10vh auto;padding:0 1rem}' +
  'label{display:block}input,button{font:inherit;padding:.5rem}input{width:11rem;text-transform:uppercase}'
/** Nothing but this page's own style and its form. */
const POLICY =
  `default-src 'none'; style-src 'sha256-${createHash('sha256').update(STYLE).digest('base64')}'; ` +
  "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

/** What somebody may have typed for a code; anything else is not shown again. */
const CODE = /^[A-Za-z0-9 -]{1,20}$/

const form = express.urlencoded({ extended: false, limit: 1_024, parameterLimit: 4, inflate: false })

/** Adds the page, and leads to it who asks for the viewer without having been paired. */
export function addPairing(app: Express, { pairing, log }: Context, guard: Guard): void {
  app.get(PAIR_PATH, (request, response) => {
    if (guard.isKnown(request)) response.redirect(303, '/')
    else send(response, 200, '', textOf(request.query['code']))
  })
  const pair: RequestHandler = (request, response) => {
    const { address, device } = { address: request.socket.remoteAddress ?? '', device: 'a browser' }
    try {
      const token = pairing.pair(textOf((request.body as { code?: unknown } | undefined)?.code), device, address)
      log.info({ device, address }, 'device paired')
      giveToken(response, token)
      response.redirect(303, '/')
    } catch (error) {
      if (!(error instanceof FeedError)) throw error
      const { status, title } = PROBLEMS_BY_CODE[error.code]
      send(response, status, title, '')
    }
  }
  app.post(PAIR_PATH, form, pair)
  app.use((request, response, next) => {
    if (isPage(request.method, request.path, request.headers.accept) && !guard.isKnown(request)) {
      response.set('Cache-Control', 'no-store').redirect(303, PAIR_PATH)
    } else next()
  })
}

/** Makes a device known from now on. */
export function giveToken(response: Response, token: string): void {
  response.cookie(COOKIE, token, { httpOnly: true, sameSite: 'strict', path: '/', maxAge: TOKEN_SECONDS * 1_000 })
}

const textOf = (value: unknown): string => (typeof value === 'string' && CODE.test(value) ? value : '')

function send(response: Response, status: number, problem: string, code: string): void {
  response.status(status).set({
    'Content-Security-Policy': POLICY,
    'Cache-Control': 'no-store',
    // A form on a page without any referrer is sent with the origin "null", which is nobody's.
    'Referrer-Policy': 'same-origin',
  })
  response.type('text/html').send(`<!doctype html>
<html lang="en">
<meta charset="utf-8">
<meta name="viewport" content="width=device-width">
<title>Pair this device with firstcrank</title>
<style>${STYLE}</style>
<h1>Pair this device</h1>
${problem && `<p role="alert"><strong>${problem}</strong></p>`}
<form method="post" action="${PAIR_PATH}">
<label for="code">Code that the server’s terminal shows now</label>
<input id="code" name="code" value="${code}" required maxlength="20" autocomplete="off" autocapitalize="characters">
<button>Pair</button>
</form>
<p>Paired already? <a href="/">Open the viewer</a>.</p>
</html>
`)
}
