// Made from docs/openapi.json by "npm run types"; do not edit.
export interface paths {
    "/api/v1/session": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** Who am I */
        get: {
            parameters: {
                query?: never;
                header?: never;
                path?: never;
                cookie?: never;
            };
            requestBody?: never;
            responses: {
                /** @description The role */
                200: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Session"];
                    };
                };
                /** @description No token, or one nobody has. */
                401: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description This role may not, or the request came from elsewhere. */
                403: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description Too many from this address. */
                429: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
            };
        };
        put?: never;
        /** Sign in: the answer sets an HttpOnly, SameSite=Strict cookie */
        post: {
            parameters: {
                query?: never;
                header?: never;
                path?: never;
                cookie?: never;
            };
            requestBody: {
                content: {
                    "application/json": {
                        token: string;
                    };
                };
            };
            responses: {
                /** @description Signed in */
                200: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": {
                            role: string;
                        };
                    };
                };
                /** @description No token in it */
                400: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description No token, or one nobody has. */
                401: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description This role may not, or the request came from elsewhere. */
                403: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description This server has no tokens */
                409: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description Not JSON */
                415: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description Too many from this address. */
                429: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
            };
        };
        /** Sign out */
        delete: {
            parameters: {
                query?: never;
                header?: never;
                path?: never;
                cookie?: never;
            };
            requestBody?: never;
            responses: {
                /** @description Signed out */
                200: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": Record<string, never>;
                    };
                };
                /** @description This role may not, or the request came from elsewhere. */
                403: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description Not JSON */
                415: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description Too many from this address. */
                429: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
            };
        };
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/status": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** Everything the page is drawn from */
        get: {
            parameters: {
                query?: never;
                header?: never;
                path?: never;
                cookie?: never;
            };
            requestBody?: never;
            responses: {
                /** @description The state now */
                200: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Status"] | components["schemas"]["PublicFeed"];
                    };
                };
                /** @description No token, or one nobody has. */
                401: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description This role may not, or the request came from elsewhere. */
                403: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description Too many from this address. */
                429: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
            };
        };
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/outing": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** What does not change during the day */
        get: {
            parameters: {
                query?: never;
                header?: never;
                path?: never;
                cookie?: never;
            };
            requestBody?: never;
            responses: {
                /** @description The outing */
                200: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Outing"];
                    };
                };
                /** @description No token, or one nobody has. */
                401: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description This role may not, or the request came from elsewhere. */
                403: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description Too many from this address. */
                429: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
            };
        };
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/record": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** The record */
        get: {
            parameters: {
                query?: {
                    from?: number;
                };
                header?: never;
                path?: never;
                cookie?: never;
            };
            requestBody?: never;
            responses: {
                /** @description Entries after `from`, oldest first */
                200: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Record"];
                    };
                };
                /** @description `from` is not a position */
                400: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description No token, or one nobody has. */
                401: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description This role may not, or the request came from elsewhere. */
                403: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description Too many from this address. */
                429: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
            };
        };
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/events": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** Server-sent events: status (Status, whole, first), change (Change), beat (Beat, every 2 s). Ids are journal positions. */
        get: {
            parameters: {
                query?: never;
                header?: {
                    /** @description Sent by browsers that come back; whoever comes back gets the whole status first, so nothing is missed. */
                    "Last-Event-ID"?: number;
                };
                path?: never;
                cookie?: never;
            };
            requestBody?: never;
            responses: {
                /** @description The stream, open until either side ends it */
                200: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "text/event-stream": string;
                    };
                };
                /** @description No token, or one nobody has. */
                401: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description This role may not, or the request came from elsewhere. */
                403: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description Too many from this address. */
                429: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
            };
        };
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/options": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** Ways on from here, worked out now; may take a second */
        get: {
            parameters: {
                query?: never;
                header?: never;
                path?: never;
                cookie?: never;
            };
            requestBody?: never;
            responses: {
                /** @description The options */
                200: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Options"];
                    };
                };
                /** @description No token, or one nobody has. */
                401: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description This role may not, or the request came from elsewhere. */
                403: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description Too many from this address. */
                429: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
            };
        };
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/what-if": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        get?: never;
        put?: never;
        /** What if: the status and the options that would follow these lines; nothing is written; may take a second */
        post: {
            parameters: {
                query?: never;
                header?: never;
                path?: never;
                cookie?: never;
            };
            requestBody: {
                content: {
                    "application/json": components["schemas"]["WhatIfRequest"];
                };
            };
            responses: {
                /** @description The day as it would be */
                200: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["WhatIf"];
                    };
                };
                /** @description What is wrong with it, in a sentence */
                400: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description No token, or one nobody has. */
                401: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description This role may not, or the request came from elsewhere. */
                403: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description Body over 64 KiB */
                413: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description Not JSON */
                415: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description Too many from this address. */
                429: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
            };
        };
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/entries": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        get?: never;
        put?: never;
        /** Write a line into the record */
        post: {
            parameters: {
                query?: never;
                header?: never;
                path?: never;
                cookie?: never;
            };
            requestBody: {
                content: {
                    "application/json": components["schemas"]["EntryRequest"];
                };
            };
            responses: {
                /** @description On disk */
                201: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Written"];
                    };
                };
                /** @description What is wrong with it, in a sentence */
                400: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description No token, or one nobody has. */
                401: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description This role may not, or the request came from elsewhere. */
                403: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description Somebody wrote since */
                409: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Stale"];
                    };
                };
                /** @description Body over 64 KiB */
                413: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description Not JSON */
                415: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description Too many from this address. */
                429: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description The journal cannot be written */
                503: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
            };
        };
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/adopt": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        get?: never;
        put?: never;
        /** Adopt an option: its timeline becomes the plan */
        post: {
            parameters: {
                query?: never;
                header?: never;
                path?: never;
                cookie?: never;
            };
            requestBody: {
                content: {
                    "application/json": components["schemas"]["AdoptRequest"];
                };
            };
            responses: {
                /** @description On disk */
                201: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Written"];
                    };
                };
                /** @description No such option */
                400: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description No token, or one nobody has. */
                401: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description This role may not, or the request came from elsewhere. */
                403: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description Somebody wrote since */
                409: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Stale"];
                    };
                };
                /** @description Not JSON */
                415: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description Too many from this address. */
                429: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description The journal cannot be written */
                503: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
            };
        };
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/timeline.svg": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** The chart as a picture */
        get: {
            parameters: {
                query?: never;
                header?: never;
                path?: never;
                cookie?: never;
            };
            requestBody?: never;
            responses: {
                /** @description The chart */
                200: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "image/svg+xml": string;
                    };
                };
                /** @description No token, or one nobody has. */
                401: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description This role may not, or the request came from elsewhere. */
                403: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description There is no timeline yet */
                404: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description Too many from this address. */
                429: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
            };
        };
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/light": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** The light on the station for today's PET zero */
        get: {
            parameters: {
                query?: never;
                header?: never;
                path?: never;
                cookie?: never;
            };
            requestBody?: never;
            responses: {
                /** @description The light on the station for today's PET zero */
                200: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Light"];
                    };
                };
                /** @description No token, or one nobody has. */
                401: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description This role may not, or the request came from elsewhere. */
                403: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description Too many from this address. */
                429: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
            };
        };
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/walk-through": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** The adopted plan as a walk-through */
        get: {
            parameters: {
                query?: {
                    /** @description Whose words the captions are; public without it. */
                    words?: "public" | "crew";
                };
                header?: never;
                path?: never;
                cookie?: never;
            };
            requestBody?: never;
            responses: {
                /** @description The adopted plan as a walk-through */
                200: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["WalkThrough"];
                    };
                };
                /** @description A parameter that makes no sense. */
                400: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description No token, or one nobody has. */
                401: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description This role may not, or the request came from elsewhere. */
                403: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description No plan yet. */
                404: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description Too many from this address. */
                429: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
            };
        };
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/walk-through.html": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** The same as one page that needs no server */
        get: {
            parameters: {
                query?: {
                    /** @description Whose words the captions are; public without it. */
                    words?: "public" | "crew";
                };
                header?: never;
                path?: never;
                cookie?: never;
            };
            requestBody?: never;
            responses: {
                /** @description The same as one page that needs no server */
                200: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "text/html": string;
                    };
                };
                /** @description A parameter that makes no sense. */
                400: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description No token, or one nobody has. */
                401: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description This role may not, or the request came from elsewhere. */
                403: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description No plan yet, or no player in this program. */
                404: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description Too many from this address. */
                429: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
            };
        };
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/everyone": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** What everyone may know, for every role alike */
        get: {
            parameters: {
                query?: never;
                header?: never;
                path?: never;
                cookie?: never;
            };
            requestBody?: never;
            responses: {
                /** @description What everyone may know, for every role alike */
                200: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["PublicFeed"];
                    };
                };
                /** @description No token, or one nobody has. */
                401: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description This role may not, or the request came from elsewhere. */
                403: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description Too many from this address. */
                429: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
            };
        };
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/everyone/events": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** The same as server-sent events: status (PublicFeed, whole, first), change, beat; without ids, because journal positions are not public */
        get: {
            parameters: {
                query?: never;
                header?: never;
                path?: never;
                cookie?: never;
            };
            requestBody?: never;
            responses: {
                /** @description The same as server-sent events: status (PublicFeed, whole, first), change, beat; without ids, because journal positions are not public */
                200: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "text/event-stream": string;
                    };
                };
                /** @description No token, or one nobody has. */
                401: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description This role may not, or the request came from elsewhere. */
                403: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description Not asked for as an event stream. */
                406: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description Too many from this address. */
                429: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
            };
        };
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/suits": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** The course of both suits over the day, for curves */
        get: {
            parameters: {
                query?: never;
                header?: never;
                path?: never;
                cookie?: never;
            };
            requestBody?: never;
            responses: {
                /** @description Believed, forecast and planned */
                200: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["SuitCurves"];
                    };
                };
                /** @description No token, or one nobody has. */
                401: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description This role may not, or the request came from elsewhere. */
                403: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description Too many from this address. */
                429: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
            };
        };
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/edits": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        get?: never;
        put?: never;
        /** Draft the rest of the day with one edit more; touches nothing, and can be adopted like any option */
        post: {
            parameters: {
                query?: never;
                header?: never;
                path?: never;
                cookie?: never;
            };
            requestBody: {
                content: {
                    "application/json": components["schemas"]["DraftRequest"];
                };
            };
            responses: {
                /** @description The draft, with what the checker finds */
                200: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Draft"];
                    };
                };
                /** @description What cannot be wished for, in a sentence */
                400: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description No token, or one nobody has. */
                401: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description This role may not, or the request came from elsewhere. */
                403: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description Somebody wrote since */
                409: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Moved"];
                    };
                };
                /** @description Body over 64 KiB */
                413: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description Not JSON */
                415: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description Too many from this address. */
                429: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
            };
        };
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/documents": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** What there is to brief with */
        get: {
            parameters: {
                query?: never;
                header?: never;
                path?: never;
                cookie?: never;
            };
            requestBody?: never;
            responses: {
                /** @description The documents */
                200: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Documents"];
                    };
                };
                /** @description No token, or one nobody has. */
                401: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description This role may not, or the request came from elsewhere. */
                403: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description Too many from this address. */
                429: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
            };
        };
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/document": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** One document, made from the plan in force */
        get: {
            parameters: {
                query?: {
                    /** @description as listed by /api/v1/documents */
                    kind?: string;
                    /** @description html, pdf, svg, md, ... */
                    format?: string;
                    /** @description ev1, ev2, iv, arm */
                    for?: string;
                    /** @description large */
                    size?: string;
                };
                header?: never;
                path?: never;
                cookie?: never;
            };
            requestBody?: never;
            responses: {
                /** @description The document; it runs no scripts and is shown only inside the console's own page */
                200: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "text/html": string;
                        "application/pdf": string;
                        "image/svg+xml": string;
                        "text/markdown": string;
                        "text/plain": string;
                    };
                };
                /** @description What is wrong with the address, in a sentence */
                400: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description No token, or one nobody has. */
                401: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description This role may not, or the request came from elsewhere. */
                403: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description There is no such document */
                404: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description Too many from this address. */
                429: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
            };
        };
        put?: never;
        post?: never;
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/file": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** The outing file as it stands on disk (lead only) */
        get: {
            parameters: {
                query?: never;
                header?: never;
                path?: never;
                cookie?: never;
            };
            requestBody?: never;
            responses: {
                /** @description Its tables and texts */
                200: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["OutingFile"];
                    };
                };
                /** @description The file cannot be read, in a sentence */
                400: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description No token, or one nobody has. */
                401: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description This role may not, or the request came from elsewhere. */
                403: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description There is no outing file any more */
                404: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description The file cannot be read */
                409: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Moved"];
                    };
                };
                /** @description Too many from this address. */
                429: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
            };
        };
        put?: never;
        /** Change the outing file where it stands, comments kept (lead only); `dry` only tries */
        post: {
            parameters: {
                query?: never;
                header?: never;
                path?: never;
                cookie?: never;
            };
            requestBody: {
                content: {
                    "application/json": components["schemas"]["FileRequest"];
                };
            };
            responses: {
                /** @description Tried: the errors the reader would have */
                200: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["FileTried"];
                    };
                };
                /** @description On disk */
                201: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["FileTried"];
                    };
                };
                /** @description What is wrong with the request, in a sentence */
                400: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description No token, or one nobody has. */
                401: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description This role may not, or the request came from elsewhere. */
                403: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description There is no outing file any more */
                404: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description The file has changed since it was shown */
                409: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Moved"];
                    };
                };
                /** @description Body over 64 KiB */
                413: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description Not JSON */
                415: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description Too many from this address. */
                429: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description The disk could not take it */
                503: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
            };
        };
        delete?: never;
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
    "/api/v1/sessions": {
        parameters: {
            query?: never;
            header?: never;
            path?: never;
            cookie?: never;
        };
        /** Who is signed in (lead only) */
        get: {
            parameters: {
                query?: never;
                header?: never;
                path?: never;
                cookie?: never;
            };
            requestBody?: never;
            responses: {
                /** @description Sessions, oldest first */
                200: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Sessions"];
                    };
                };
                /** @description No token, or one nobody has. */
                401: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description This role may not, or the request came from elsewhere. */
                403: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description Too many from this address. */
                429: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
            };
        };
        put?: never;
        post?: never;
        /** End a session, or every other one (lead only) */
        delete: {
            parameters: {
                query?: never;
                header?: never;
                path?: never;
                cookie?: never;
            };
            requestBody: {
                content: {
                    "application/json": {
                        number?: number;
                    };
                };
            };
            responses: {
                /** @description How many ended */
                200: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": {
                            ended: number;
                        };
                    };
                };
                /** @description Not a number of a session */
                400: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description No token, or one nobody has. */
                401: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description This role may not, or the request came from elsewhere. */
                403: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description Not JSON */
                415: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
                /** @description Too many from this address. */
                429: {
                    headers: {
                        [name: string]: unknown;
                    };
                    content: {
                        "application/json": components["schemas"]["Error"];
                    };
                };
            };
        };
        options?: never;
        head?: never;
        patch?: never;
        trace?: never;
    };
}
export type webhooks = Record<string, never>;
export interface components {
    schemas: {
        /** @description A sentence a tired person can act on. */
        Error: {
            error: string;
        };
        /** @description Who the server takes you for; tokens: false on a loopback server, where everyone is the lead. practice: the server's clock does not show the present. */
        Session: {
            /** @enum {string} */
            role: "lead" | "console" | "medical" | "public";
            tokens: boolean;
            practice: boolean;
        };
        /** @description The journal position the entry got once it was on disk. */
        Written: {
            position: number;
        };
        /** @description Somebody wrote since `seen`; nothing was written. `error` tells the first three entries in words. */
        Stale: {
            error: string;
            position: number;
            /** @description What was written after `seen`, oldest first, as this role may read it; an entry that it may not read at all is left out. */
            since: components["schemas"]["RecordEntry"][];
            status: components["schemas"]["Status"];
        };
        EntryRequest: {
            /** @description As typed into the record. */
            line: string;
            author: string;
            /** @description Newest journal position the writer had seen. */
            seen: number;
            /** @description When it happened, ISO 8601 UTC; now when left out. Never later than now. */
            at?: string;
            /** @description Chosen by the page: the same write sent twice is done once. */
            id?: string;
        };
        AdoptRequest: {
            option: string;
            author: string;
            seen: number;
        };
        Hold: {
            since_pet_s: number;
            utc: string;
            words: string;
            reason: string | null;
        };
        StandDown: {
            /** @enum {string} */
            kind: "scrub" | "terminate" | "abort";
            since_pet_s: number;
            reason?: string | null;
            open?: {
                worksite: {
                    id: string;
                    name: string;
                };
                close_up: string[];
                closed_on_the_way: boolean;
            }[];
            outside?: {
                item: {
                    id: string;
                    name: string;
                };
                words: string;
                must_return: boolean;
                comes_in: boolean;
            }[];
            steps?: {
                who: string;
                at_pet_s: number | null;
                what: string;
                done: boolean;
            }[];
        };
        /** @description Does it hold now, and when does that change next. */
        Condition: {
            known: boolean;
            now: boolean | null;
            next_pet_s: number | null;
            words: string;
        };
        Window: {
            condition: string;
            worksite: string;
            from_s: number;
            to_s: number;
            note: string;
        };
        Activity: {
            /** @enum {string} */
            kind: "egress" | "step" | "translate" | "tether_swap" | "pick_up" | "put_down" | "glove_check" | "rest" | "arm_move" | "clean_up" | "ingress";
            lanes: ("EV1" | "EV2" | "arm" | "IV" | "ground")[];
            start_s: number;
            duration_s: number;
            title: string;
            label: string | null;
            task: string | null;
            place: string | null;
            path: string[];
            /** @enum {string} */
            status: "to_do" | "running" | "done" | "skipped";
            assumed: boolean;
        };
        Now: {
            /** @enum {string} */
            kind: "egress" | "step" | "translate" | "tether_swap" | "pick_up" | "put_down" | "glove_check" | "rest" | "arm_move" | "clean_up" | "ingress";
            label: string | null;
            title: string;
            task: string | null;
            place: string | null;
            place_name: string | null;
            started_pet_s: number;
            planned_start_pet_s: number | null;
            planned_end_pet_s: number | null;
            expected_end_pet_s: number;
            assumed: boolean;
            words: string;
        };
        Next: {
            /** @enum {string} */
            kind: "egress" | "step" | "translate" | "tether_swap" | "pick_up" | "put_down" | "glove_check" | "rest" | "arm_move" | "clean_up" | "ingress";
            label: string | null;
            title: string;
            task: string | null;
            place: string | null;
            place_name: string | null;
            planned_start_pet_s: number | null;
            forecast_start_pet_s: number;
            duration_s: number;
        };
        Consumable: {
            /** @enum {string} */
            id: "oxygen" | "co2" | "water" | "battery" | "gas";
            unit: string;
            capacity: number;
            used: number;
            left: number;
            left_at_return: number | null;
            reserve: number;
            margin_min: number | null;
            measured_pet_s: number | null;
        };
        Suit: {
            type: string;
            limiting: string | null;
            margin_min: number | null;
            turn_back_terminate_pet_s: number | null;
            turn_back_abort_pet_s: number | null;
            turn_back_words: string;
            consumables: components["schemas"]["Consumable"][];
        };
        CrewState: {
            /** @enum {string} */
            id: "EV1" | "EV2";
            name: string;
            outside: boolean;
            able: boolean | null;
            at: {
                id: string;
                name: string;
            } | null;
            anchor: {
                id: string;
                name: string;
            } | null;
            carries: {
                id: string;
                name: string;
            }[];
            now: components["schemas"]["Now"] | null;
            next: components["schemas"]["Next"][];
            behind_s: number;
            cause: string;
            suit: components["schemas"]["Suit"];
        };
        StepState: {
            label: string;
            name: string;
            /** @enum {string} */
            status: "to_do" | "running" | "done" | "skipped";
            start_s: number | null;
            end_s: number | null;
        };
        TaskState: {
            id: string;
            name: string;
            /** @enum {string} */
            class: "required" | "wanted" | "get_ahead";
            value: number;
            lead: ("EV1" | "EV2") | null;
            /** @enum {string} */
            status: "to_do" | "running" | "partly" | "done" | "left_out";
            forecast_end_pet_s: number | null;
            reason: string | null;
            steps: components["schemas"]["StepState"][];
        };
        ItemState: {
            id: string;
            name: string;
            /** @enum {string} */
            where: "loose" | "in_bag" | "carried" | "installed" | "lost";
            place: string | null;
            words: string;
        };
        RecordEntry: {
            position: number;
            utc: string;
            logged: string;
            pet_s: number;
            kind: string;
            words: string;
            author: string;
            /** @enum {string} */
            visibility: "public" | "console" | "medical";
            corrects: number | null;
            struck: boolean;
        };
        Plan: {
            position: number;
            finish_pet_s: number;
            activities: components["schemas"]["Activity"][];
            bindings: {
                task: string;
                /** @enum {string} */
                lead: "EV1" | "EV2";
            }[];
            left_out: {
                task: string;
                reason: string;
            }[];
        };
        Forecast: {
            possible: boolean;
            finish_pet_s: number | null;
            activities: components["schemas"]["Activity"][];
            reasons: string[];
        };
        /** @description docs/status.md */
        Status: {
            /** @constant */
            format: "handrail-status";
            /** @constant */
            version: 1;
            /** @enum {string} */
            role: "console" | "medical";
            position: number;
            outing: string;
            note: string;
            utc: string;
            pet_s: number;
            pet_zero: string;
            pet_running: boolean;
            slip_s?: number;
            turn_back?: {
                terminate_pet_s: number | null;
                abort_pet_s: number | null;
            } | null;
            /** @enum {string} */
            phase: "planned" | "suit_up" | "prebreathe" | "depress" | "egress" | "work" | "clean_up" | "ingress" | "repress" | "post" | "closed";
            stand_down: components["schemas"]["StandDown"] | null;
            hold: components["schemas"]["Hold"] | null;
            behind_s: number;
            finish_shift_s: number;
            cause: string;
            finish: {
                planned_pet_s: number | null;
                forecast_pet_s: number | null;
                limit_pet_s: number;
                margin_s: number | null;
            };
            tightest: {
                /** @enum {string} */
                kind: "limit" | "consumable";
                words: string;
                crew: ("EV1" | "EV2") | null;
                consumable: string | null;
                margin_min: number;
            } | null;
            crew: components["schemas"]["CrewState"][];
            light: components["schemas"]["Condition"];
            coverage: components["schemas"]["Condition"];
            windows: components["schemas"]["Window"][];
            plan: components["schemas"]["Plan"] | null;
            as_run: components["schemas"]["Activity"][];
            forecast: components["schemas"]["Forecast"];
            tasks: components["schemas"]["TaskState"][];
            items: components["schemas"]["ItemState"][];
            record: components["schemas"]["RecordEntry"][];
            problems: {
                position: number;
                words: string;
            }[];
            odds?: components["schemas"]["Odds"];
            caution: string;
            morning?: components["schemas"]["Morning"] | null;
            findings?: components["schemas"]["Finding"][];
            pace?: {
                EV1: components["schemas"]["Pace"];
                EV2: components["schemas"]["Pace"];
                finish_pet_s: number | null;
            };
        };
        Record: {
            position: number;
            entries: components["schemas"]["RecordEntry"][];
        };
        /** @description What does not change during the day. */
        Outing: {
            name: string;
            note: string;
            about: string;
            airlock: string;
            worksites: {
                id: string;
                name: string;
                x_m: number;
                y_m: number;
                z_m: number;
                anchor: boolean;
            }[];
            routes: {
                a: string;
                b: string;
                length_m: number;
            }[];
            crew: {
                /** @enum {string} */
                id: "EV1" | "EV2";
                name: string;
            }[];
            steps: {
                label: string;
                task: string;
                task_name: string;
                name: string;
                who: ("lead" | "helper" | "arm" | "IV" | "ground")[];
                at: string | null;
                crew_words: string;
                hazards: {
                    what: string;
                    control: string;
                }[];
            }[];
            station: components["schemas"]["Scene"];
            caution: string;
        };
        Change: {
            /** @description Top-level keys of Status with their new values. */
            set: {
                [key: string]: unknown;
            };
            entries: components["schemas"]["RecordEntry"][];
        };
        Beat: {
            utc: string;
            position: number;
        };
        Finding: {
            rule: string;
            lanes: ("EV1" | "EV2" | "arm" | "IV" | "ground")[];
            at_s: number;
            amount: number;
            unit: string;
            what: string;
        };
        Option: {
            id: string;
            title: string;
            done: string[];
            left: string[];
            required_left: string[];
            dropped: string[];
            value: number;
            finish_pet_s: number;
            tightest: {
                words: string;
                margin_min: number;
            } | null;
            changes: string[];
            findings: components["schemas"]["Finding"][];
            activities: components["schemas"]["Activity"][];
            /** @description When tasks are left out by likely times; missing for coming in at once and for a scrub. */
            odds?: {
                required_done: number;
                in_time_with_reserves: number;
                standard_error: number;
                finish_p50_pet_s: number;
                finish_p90_pet_s: number;
            };
            /** @description Items that others stand in for: `by` in place of `item`. */
            uses?: {
                item: string;
                by: string;
            }[];
            /** @description Tasks that nothing can bring about any more, and why. */
            cannot?: {
                task: string;
                why: string;
            }[];
            /** @description Of scrubbing, coming in and coming in at once: what is open, what is outside, and the steps until everyone is in. */
            stand_down: {
                /**
                 * @description The entry that takes this way on; it stays the lead's own.
                 * @enum {unknown}
                 */
                line: "scrub" | "terminate" | "abort";
                open: {
                    worksite: {
                        id: string;
                        name: string;
                    };
                    close_up: string[];
                    closed_on_the_way: boolean;
                }[];
                outside: {
                    item: {
                        id: string;
                        name: string;
                    };
                    words: string;
                    must_return: boolean;
                    comes_in: boolean;
                }[];
                steps: {
                    who: string;
                    at_pet_s: number | null;
                    what: string;
                    done: boolean;
                }[];
            } | null;
        };
        /** @description Tasks are named by their ids; carrying on comes first. */
        Options: {
            /** @constant */
            format: "handrail-options";
            /** @constant */
            version: 1;
            position: number;
            utc: string;
            pet_s: number;
            options: components["schemas"]["Option"][];
            caution: string;
        };
        WhatIfRequest: {
            /** @description As they would be typed into the record, one after the other: ["arm lost"], ["hold", "slip 30 min"]. */
            lines: string[];
        };
        /** @description The day as it would be if these lines were logged now. Nothing is written; in `status` and `options` the supposed entries count as if they were there, so their `position` lies beyond the real one, and none of these options can be adopted. */
        WhatIf: {
            /** @description Newest entry that is really there. */
            position: number;
            /** @description The lines as they were understood, as this role would read them. */
            supposed: string[];
            status: components["schemas"]["Status"];
            options: components["schemas"]["Options"];
        };
        /** @description How likely the rest of the day comes true; shares from 0 to 1. `position` is the entry they rest on, possibly an earlier one. */
        Odds: {
            position: number;
            required_done: number;
            in_time_with_reserves: number;
            standard_error: number;
            finish_p10_pet_s: number;
            finish_p50_pet_s: number;
            finish_p90_pet_s: number;
            tasks: {
                task: string;
                done: number;
            }[];
            gate: {
                task: string;
                planned_pet_s: number;
                begin_until_pet_s: number | null;
                start_home_by_pet_s: number;
            } | null;
            gates?: {
                task: string;
                planned_pet_s: number;
                begin_until_pet_s: number | null;
                start_home_by_pet_s: number;
            }[];
        };
        /** @description The station as it is drawn: metres in the station frame. Every word in it is public. */
        Scene: {
            name: string;
            airlock: string;
            worksites: {
                id: string;
                name: string;
                about: string;
                at_m: number[];
                outward: number[];
                anchor: boolean;
            }[];
            routes: {
                a: string;
                b: string;
                length_m: number;
            }[];
            solids: ({
                /** @constant */
                shape: "box";
                at_m: number[];
                size_m: number[];
            } | {
                /** @constant */
                shape: "cylinder";
                at_m: number[];
                axis: number[];
                radius_m: number;
                length_m: number;
            })[];
            arm: {
                name: string;
                base_m: number[];
                reach_m: number;
                parked: string;
            } | null;
        };
        /** @description The light on the station. */
        Light: {
            pet_zero: string;
            daylight: number[][] | null;
            /** @description By worksite; absent where nobody knows. Glare is for the crew. */
            sites: {
                [key: string]: {
                    /** @description [from, to) in PET seconds */
                    lit: number[][];
                    /** @description [from, to) in PET seconds */
                    glare?: number[][];
                };
            };
            sun: {
                from_s: number;
                step_s: number;
                /** @description x, y, z of one unit vector after the other */
                toward: number[];
            } | null;
        };
        /** @description What everyone may know: an allow-list, built from nothing (src/serve/public_feed.h). */
        PublicFeed: {
            /** @constant */
            format: "handrail-public";
            /** @constant */
            version: 1;
            /** @constant */
            role: "public";
            outing: string;
            note: string;
            about: string;
            utc: string;
            pet_zero: string;
            pet_running: boolean;
            /** @enum {string} */
            phase: "planned" | "suit_up" | "prebreathe" | "depress" | "egress" | "work" | "clean_up" | "ingress" | "repress" | "post" | "closed";
            on_hold_since_pet_s: number | null;
            /**
             * @description The day ends otherwise than planned: it does not take place, or both come in. Never why, and never how hastily.
             * @enum {unknown}
             */
            ending: "called_off" | "coming_in" | null;
            crew: {
                /** @enum {string} */
                id: "EV1" | "EV2";
                name: string;
                about: string;
                outside: boolean;
                at: string;
                anchor: string;
                now: {
                    title: string;
                    words: string;
                    place: string | null;
                    since_pet_s: number;
                    way: string[];
                    way_s: number;
                } | null;
                next: {
                    title: string;
                    words: string;
                    place: string | null;
                } | null;
            }[];
            arm_at: string | null;
            sunlit: {
                known: boolean;
                now: boolean | null;
                until_pet_s: number | null;
            };
            jobs: {
                name: string;
                why: string;
                /** @enum {string} */
                progress: "to_come" | "under_way" | "partly" | "done" | "not_today";
            }[];
            lines: {
                utc: string;
                pet_s: number;
                words: string;
            }[];
            station: components["schemas"]["Scene"];
            light: components["schemas"]["Light"];
            caution: string;
        };
        /** @description The adopted plan, played on the map. */
        WalkThrough: {
            /** @constant */
            format: "handrail-walk-through";
            /** @constant */
            version: 1;
            /** @enum {string} */
            words: "public" | "crew";
            outing: string;
            note: string;
            about: string;
            plan: string;
            pet_zero: string;
            finish_s: number;
            crew: {
                /** @enum {string} */
                id: "EV1" | "EV2";
                name: string;
                about: string;
            }[];
            activities: {
                /** @enum {string} */
                kind: "egress" | "step" | "translate" | "tether_swap" | "pick_up" | "put_down" | "glove_check" | "rest" | "arm_move" | "clean_up" | "ingress";
                lanes: ("EV1" | "EV2" | "arm" | "IV" | "ground")[];
                start_s: number;
                duration_s: number;
                path: string[];
                title: string;
                words: string;
                hazards?: {
                    what: string;
                    control: string;
                }[];
                hands?: {
                    [key: string]: string;
                };
            }[];
            station: components["schemas"]["Scene"];
            light: components["schemas"]["Light"];
            caution: string;
        };
        Morning: {
            pet_zero_expected: string;
            pet_zero_earliest: string | null;
            depress_earliest: string | null;
            payback_s: number;
            early_depress_s: number;
            cause: string;
            trouble: string;
            steps: {
                name: string;
                planned: string | null;
                begins: string | null;
                begun: boolean;
            }[];
        };
        Pace: {
            factor: number;
            log_sd: number;
            steps: number;
        };
        /** @description `course` holds columns: what was believed and is forecast, with the 90 % band `low` to `high`; it steps where a reading changed what is believed. `planned` is by the plan the day began with. */
        SuitCurves: {
            position: number;
            pet_s: number;
            crew: {
                /** @enum {string} */
                id: "EV1" | "EV2";
                consumables: {
                    /** @enum {string} */
                    id: "oxygen" | "co2" | "water" | "battery" | "gas";
                    unit: string;
                    capacity: number;
                    reserve: number;
                    course: {
                        pet_s: number[];
                        left: number[];
                        low: number[];
                        high: number[];
                    };
                    planned: {
                        pet_s: number[];
                        left: number[];
                    };
                    readings: {
                        position: number;
                        pet_s: number;
                        left: number;
                        used: boolean;
                        words: string;
                    }[];
                }[];
            }[];
            caution: string;
        };
        Moved: {
            error: string;
            position: number;
        };
        /** @description What the lead has settled by hand, by the labels and ids of the outing file: a step starts between two moments (the same: pinned), one step ends before another starts, somebody takes no part in a step, who leads a task, tasks to leave out or to do in any case, worksites nobody may use. Empty lists may be missing. */
        Wishes: {
            /** @constant */
            format: "handrail-wishes";
            /** @constant */
            version: 1;
            starts?: {
                step: string;
                from_s: number;
                to_s: number;
            }[];
            before?: {
                first: string;
                then: string;
            }[];
            not_by?: {
                step: string;
                /** @enum {string} */
                crew: "EV1" | "EV2";
            }[];
            lead?: {
                task: string;
                /** @enum {string} */
                lead: "EV1" | "EV2";
            }[];
            leave_out?: string[];
            must_do?: string[];
            closed?: string[];
        };
        /** @description `on`: the draft it goes on from; left out: the forecast. */
        DraftRequest: {
            seen: number;
            on?: number;
            edit: components["schemas"]["Edit"];
        };
        /** @description `refused`: why no timeline at all could obey; then the rest is missing. `option`: the rest of the day as drafted, with what the checker finds; its id can be adopted while nobody has written since. `unkept`: wishes it does not keep. `before`: the forecast without any wish. */
        Draft: {
            position: number;
            refused: string | null;
            draft?: number;
            option?: components["schemas"]["Option"];
            wishes?: components["schemas"]["Wishes"];
            unkept?: string[];
            before?: {
                finish_pet_s: number;
            };
            took_ms: number;
        };
        /** @description `plan`: the identity printed on documents made now. */
        Documents: {
            position: number;
            plan_position: number;
            plan: string;
            documents: {
                kind: string;
                reader: string;
                title: string;
                formats: string[];
                public: boolean;
                sizes: string[];
            }[];
        };
        InputError: {
            file: string;
            line: number;
            column: number;
            field: string;
            expected: string;
            found: string;
            remedy: string;
        };
        FileTried: {
            saved: boolean;
            file: string;
            digest: string;
            errors: components["schemas"]["InputError"][];
        };
        /** @description `texts`: the outing file, then what it includes; `tables` is its TOML as JSON. `of_today`: the day runs on exactly this file. */
        OutingFile: {
            file: string;
            digest: string;
            of_today: boolean;
            texts: {
                name: string;
                tables: {
                    [key: string]: unknown;
                };
            }[];
        };
        /** @description Edits in order, by address ("task[valve].step[open]"): set a key to a TOML value, remove a key, insert a table of a list (TOML in `text`, behind the entry `after` or last), remove a table. `save_as`: the name of a new outing file beside the old one. */
        FileRequest: {
            digest: string;
            dry?: boolean;
            save_as?: string;
            edits: {
                /** @enum {string} */
                do: "set" | "remove_key" | "insert" | "remove";
                table: string;
                key?: string;
                value?: string;
                text?: string;
                after?: string;
            }[];
        };
        Sessions: {
            sessions: {
                number: number;
                /** @enum {string} */
                role: "lead" | "console" | "medical" | "public";
                since: string;
                remote: string;
                own: boolean;
            }[];
        };
        /** @description One edit: pin a step (step, from_s, to_s), free it; give a task (task, lead), put it in, leave it out, free it; put one step before another (first, then); forbid a step to one person (step, crew); close or open a worksite (site). */
        Edit: {
            /** @enum {string} */
            kind: "nothing" | "pin" | "free step" | "give" | "put in" | "leave out" | "free task" | "put before" | "forbid" | "close site" | "open site";
            step?: string;
            task?: string;
            site?: string;
            first?: string;
            then?: string;
            from_s?: number;
            to_s?: number;
            /** @enum {string} */
            lead?: "EV1" | "EV2";
            /** @enum {string} */
            crew?: "EV1" | "EV2";
        };
    };
    responses: never;
    parameters: never;
    requestBodies: never;
    headers: never;
    pathItems: never;
}
export type $defs = Record<string, never>;
export type operations = Record<string, never>;
