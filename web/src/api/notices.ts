import { body, client } from "./client";
import type { components } from "./schema";

/** Requests about notices: what comes by mail and when, and links to unsubscribe. */

type Schemas = components["schemas"];

export type Notices = Schemas["NoticesRead"];
export type NoticeKind = Schemas["NoticeKindRead"];
export type MailKind = Schemas["MailKind"];
export type NoticeParts = Schemas["NoticesChanged"];
export type Unsubscription = Schemas["UnsubscriptionRead"];

export const notices = (): Promise<Notices> => body(client.GET("/api/v1/notices"));
export const changeNotices = (parts: NoticeParts): Promise<Notices> => body(client.PATCH("/api/v1/notices", { body: parts }));

type Keys = Schemas["PushKeysSent"];

export const showHere = (endpoint: string, keys: Keys): Promise<{ devices: number }> =>
  body(client.PUT("/api/v1/push-subscriptions", { body: { endpoint, keys } }));
export const hideHere = (endpoint: string): Promise<{ devices: number }> =>
  body(client.POST("/api/v1/push-subscriptions/removals", { body: { endpoint } }));

const of = (token: string): { params: { path: { token: string } } } => ({ params: { path: { token } } });

export const unsubscription = (token: string): Promise<Unsubscription> =>
  body(client.GET("/api/v1/unsubscriptions/{token}", of(token)));
export const changeUnsubscription = (token: string, off: boolean, scope: "kind" | "every" = "kind"): Promise<Unsubscription> =>
  body(client.PUT("/api/v1/unsubscriptions/{token}", { ...of(token), body: { off, scope } }));
