/* The assembled page as bytes; LOOPREAD_PAGE_FILE is its path, given by CMake. */
    .section .rodata
    .global loopread_dye_table_page
    .global loopread_dye_table_page_end
loopread_dye_table_page:
    .incbin LOOPREAD_PAGE_FILE
loopread_dye_table_page_end:
    .byte 0
    .section .note.GNU-stack,"",%progbits
