-- Menus as they were handed in: the cards stay plain text, so that a later version reads them anew.
CREATE TABLE menu (
    id    TEXT PRIMARY KEY NOT NULL,
    name  TEXT NOT NULL,
    site  TEXT NOT NULL,
    cards TEXT NOT NULL
) STRICT;
