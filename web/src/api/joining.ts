import { body, client } from "./client";
import type { components } from "./schema";
import type { Me, PersonRow } from "./types";

/** Requests about joining, guardians, consent and one's own data. */

type Schemas = components["schemas"];

export type Joining = Schemas["JoiningRead"];
export type ProfileParts = Schemas["ProfileSent"];
export type Step = Schemas["Step"];
export type ConsentState = Schemas["Consent"];
export type ConsentSeen = Schemas["ConsentRead"];
export type ConsentText = Schemas["ConsentTextRead"];
export type NewConsentText = Schemas["ConsentTextSent"];
export type Guardian = Schemas["GuardianRead"];
export type Child = Schemas["ChildRead"];
export type Safeguarding = Schemas["SafeguardingRead"];
export type StudentProfile = Schemas["StudentProfileRead"];
export type Copy = Schemas["ExportRead"];
export type Erasure = Schemas["ErasureRead"];
export type Academy = Schemas["AcademyRead"];
export type AcademyParts = Schemas["AcademyChanged"];
export type StatureBand = NonNullable<Joining["stature_band"]>;

const of = (membership_id: string): { params: { path: { membership_id: string } } } => ({
  params: { path: { membership_id } },
});

export const joining = (): Promise<Joining> => body(client.GET("/api/v1/joining"));
export const changeJoining = (parts: ProfileParts): Promise<Joining> =>
  body(client.PATCH("/api/v1/joining", { body: parts }));
export const nameGuardian = (name: string, email: string): Promise<Guardian> =>
  body(client.PUT("/api/v1/joining/guardian", { body: { name, email } }));
export const remindGuardian = (id: string): Promise<Guardian> =>
  body(client.POST("/api/v1/people/{membership_id}/guardian/remind", of(id)));
export const removeClub = (club_id: string): Promise<unknown> =>
  body(client.DELETE("/api/v1/clubs/{club_id}", { params: { path: { club_id } } }));

export const comeInAsGuardian = (token: string): Promise<Me> =>
  body(client.POST("/api/v1/guardian-acceptances", { body: { token } }));
export const children = (): Promise<Child[]> => body(client.GET("/api/v1/children"));

export const consents = (membership_id: string, locale: string): Promise<ConsentSeen> =>
  body(client.GET("/api/v1/people/{membership_id}/consents", { params: { path: { membership_id }, query: { locale } } }));
export const decide = (id: string, text_id: string, decision: "given" | "refused"): Promise<ConsentSeen> =>
  body(client.POST("/api/v1/people/{membership_id}/consents", { ...of(id), body: { text_id, decision } }));
export const withdrawConsent = (id: string): Promise<ConsentSeen> =>
  body(client.POST("/api/v1/people/{membership_id}/consents/withdraw", of(id)));

export const copies = (id: string): Promise<Copy[]> => body(client.GET("/api/v1/people/{membership_id}/exports", of(id)));
export const askCopy = (id: string): Promise<Copy> => body(client.POST("/api/v1/people/{membership_id}/exports", of(id)));
export const erasure = (id: string): Promise<{ under_way: Erasure | null }> =>
  body(client.GET("/api/v1/people/{membership_id}/erasure", of(id)));
export const askErasure = (id: string): Promise<Erasure> =>
  body(client.POST("/api/v1/people/{membership_id}/erasure", of(id)));
export const callErasureBack = (id: string): Promise<unknown> =>
  body(client.DELETE("/api/v1/people/{membership_id}/erasure", of(id)));
export const confirmErasure = (token: string): Promise<{ due_at: string; name: string; academy: string }> =>
  body(client.POST("/api/v1/erasure-confirmations", { body: { token } }));

export const studentProfile = (id: string): Promise<StudentProfile> =>
  body(client.GET("/api/v1/people/{membership_id}/profile", of(id)));

export const academy = (): Promise<Academy> => body(client.GET("/api/v1/academy"));
export const changeAcademy = (parts: AcademyParts): Promise<Academy> =>
  body(client.PATCH("/api/v1/academy", { body: parts }));
export const consentTexts = (): Promise<ConsentText[]> => body(client.GET("/api/v1/consent-texts"));
export const publishText = (text: NewConsentText): Promise<ConsentText[]> =>
  body(client.POST("/api/v1/consent-texts", { body: text }));
export const sayChild = (membership_id: string, child: boolean): Promise<PersonRow> =>
  body(client.PUT("/api/v1/people/{membership_id}/child", { ...of(membership_id), body: { child } }));
export const replaceGuardian = (membership_id: string, name: string, email: string): Promise<Guardian> =>
  body(client.PUT("/api/v1/people/{membership_id}/guardian", { ...of(membership_id), body: { name, email } }));
