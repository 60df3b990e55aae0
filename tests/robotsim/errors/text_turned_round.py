print("harbour"[::-1])
