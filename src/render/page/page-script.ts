export const PAGE_SCRIPT = "";
