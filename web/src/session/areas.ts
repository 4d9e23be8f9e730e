import type { Role } from "../api/types";

export const ROLE_WORDS: Record<Role, { one: string; plural: string; name: string; area: string }> = {
  student: { one: "a student", plural: "students", name: "Student", area: "My clips" },
  coach: { one: "a coach", plural: "coaches", name: "Coach", area: "Review desk" },
  admin: { one: "an admin", plural: "admins", name: "Admin", area: "Office" },
  guardian: { one: "a guardian", plural: "guardians", name: "Guardian", area: "My children" },
};

const AREAS: Record<Role, string> = { student: "/student/", coach: "/desk/", admin: "/office/", guardian: "/guardian/" };

/** The page a role works in. */
export const areaOf = (role: Role): string => AREAS[role];
