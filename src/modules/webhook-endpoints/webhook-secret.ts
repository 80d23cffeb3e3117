import { randomBytes } from 'node:crypto';
import { Webhook } from 'standardwebhooks';
import { openSecret, sealSecret } from '../../platform/security/sealed-secret';

// Standard Webhooks asks for 24 to 64 random bytes
const SECRET_BYTES = 32;
const PREFIX = 'whsec_';

/** A secret as both sides know it, in the serialisation of Standard Webhooks. */
export function newWebhookSecret(): string {
  return PREFIX + randomBytes(SECRET_BYTES).toString('base64');
}

const purposeOf = (endpointId: string): string => `webhook secret of ${endpointId}`;

export function sealWebhookSecret(installationSecret: string, endpointId: string, secret: string): Buffer {
  return sealSecret(installationSecret, purposeOf(endpointId), Buffer.from(secret));
}

export function openWebhookSecret(installationSecret: string, endpointId: string, sealed: Buffer): string {
  return openSecret(installationSecret, purposeOf(endpointId), sealed).toString();
}

/**
 * The headers that prove a message (Standard Webhooks): one signature for each secret in force, so that a receiver
 * may know the old one or the new one while they change.
 *
 * @param at milliseconds since 1970, of this attempt
 */
export function signedHeaders(
  secrets: readonly string[],
  messageId: string,
  at: number,
  body: string,
): Record<string, string> {
  const signatures = secrets.map((secret) => new Webhook(secret).sign(messageId, new Date(at), body));
  return {
    'webhook-id': messageId,
    'webhook-timestamp': String(Math.floor(at / 1_000)),
    'webhook-signature': signatures.join(' '),
  };
}
